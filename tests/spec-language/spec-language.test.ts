import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse, stringify } from 'yaml';
import { driverSettings } from '../../drivers/registry.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import { metrics } from '../../harness/measure/metrics.ts';
import { signalNames, signals } from '../../harness/measure/signals.ts';
import { derivedTargets } from '../../harness/plan/derived-targets.ts';
import { daliCommands } from '../../harness/plan/links/dali-commands.ts';
import { deviceCommands } from '../../harness/plan/links/device-commands.ts';
import { verbs } from '../../harness/plan/verbs/verbs.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp, specsFolder } from './shipped-lamp.ts';

const page = readFileSync(join(specsFolder, 'README.md'), 'utf8');
const examples = [...page.matchAll(/^```yaml\n([\s\S]*?)^```$/gm)].map((match) => match[1] ?? '');

/** The rows of the table whose first column has this head. */
function rowsOf(head: string): string[] {
  const [table = ''] = page.slice(page.indexOf(`| ${head} |`)).split('\n\n');
  return table.split('\n').slice(2);
}

/** What an example that shows one part only is put into. */
const rest = {
  spec: 'example',
  claim: 'An example of specs/README.md.',
  stimulus: [
    { mark: 'full' },
    { set: { level: '100 %', mix: 'all' } },
    { hold: '5 s' },
    { mark: 'dimmed' },
    { fade: { level: '1 %', over: '1 s' } },
    { hold: '1 s' },
  ],
  capture: [
    { signal: 'light', rate: '20 kHz' },
    { signal: 'channel-current', rate: '1 MHz' },
    { signal: 'colour', integration: '100 ms' },
  ],
  criteria: [{ metric: 'modulation', 'at-most': '100 %' }],
};

describe('specs/README.md', () => {
  const lamp = shippedLamp('alcove-6');

  it('has examples of every part', () => {
    const parts = examples.flatMap((example) => Object.keys(parse(example)));
    for (const part of [
      'spec',
      'lamp',
      'rig',
      'needs',
      'conditions',
      'stimulus',
      'capture',
      'criteria',
    ])
      expect(parts).toContain(part);
  });

  it('says of every metric which claim it is for, and names no other', () => {
    const named = rowsOf('claim').flatMap((row) =>
      [...row.matchAll(/`([a-z0-9-]+)`/g)].map(([, id]) => id),
    );
    expect(named.toSorted()).toEqual(metrics.map(({ id }) => id).toSorted());
  });

  for (const [index, example] of examples.entries()) {
    const first = example.split('\n').find((line) => !line.startsWith('#')) ?? '';
    it(`holds what it says in example ${index + 1}: ${first}`, () => {
      const value = parse(example) as Record<string, unknown>;
      const text =
        'lamp' in value || 'rig' in value || 'spec' in value
          ? example
          : stringify({ ...rest, ...value });
      const read =
        'lamp' in value
          ? readLamp(text, 'README.md')
          : 'rig' in value
            ? readRig(text, 'README.md', driverSettings)
            : readSpec(text, { file: 'README.md', folder: 'x', digest: '0', lamp });
      expect(
        'issues' in read ? read.issues.map(({ path, message }) => `${path} ${message}`) : [],
      ).toEqual([]);
    });
  }

  it('lists the verbs there are, each with what it does', () => {
    const expected = verbs.map(({ verb, about }) => {
      const sentence = about.replace(/\.$/, '');
      return `| \`${verb}\` | ${sentence.charAt(0).toLowerCase()}${sentence.slice(1)} |`;
    });
    expect(rowsOf('verb')).toEqual(expected);
  });

  it('lists the signals there are, each with what it is', () => {
    const rows = rowsOf('signal');
    expect(rows.map((row) => /^\| `([a-z-]+)` \|/.exec(row)?.[1])).toEqual(signalNames);
    for (const [index, name] of signalNames.entries())
      expect(rows[index]).toContain(`| ${signals[name].about}`);
  });

  it('names every figure of the lamp file that a target may be', () => {
    for (const name of Object.keys(derivedTargets)) expect(page).toContain(`\`${name}\``);
  });

  it('names every DALI command that a spec may call', () => {
    for (const command of [...Object.keys(daliCommands), ...Object.keys(deviceCommands)])
      expect(page).toContain(`\`${command}\``);
  });
});
