import { cpSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { brokenFiles } from '../../harness/archive/broken-files.ts';
import { readManifest, sha256File } from '../../harness/archive/manifest.ts';
import { signRun } from '../../harness/archive/sign-run.ts';
import { register as report } from '../../harness/cli/archive/report.ts';
import { newPerson } from '../archive/signed-run.ts';
import { evenfall } from './program.ts';
import { runCommand } from './run-command.ts';
import { colourSpec, desk, dimmingSpec, findingsText, recordIn, runsIn } from './small-specs.ts';

/** What the lamp answered is part of a run as well. */
const answers = `spec: answers
claim: The lamp answers.
stimulus:
  - send: { dali: query-gear-present, expect: 0xff }
  - hold: 30 ms
  - send: { dali: query-lamp-failure, expect: 0xff }
  - hold: 30 ms
capture: []
criteria: []
`;

/** A claim that the lamp has no part for is stored without conditions. */
const analogue = `spec: analogue-only
claim: Of no use on this lamp.
needs: { modulation: analogue }
stimulus:
  - send: { dali: query-gear-present, expect: 0xff }
capture: []
criteria: []
`;

/** Of the second record, all of it: one that is not cut to a window. */
const wholeRecord = '  - { metric: level-ratio, of: cool, reference: full, at-most: 200 % }\n';

const specs = {
  'specs/a.spec.yaml': dimmingSpec('dims', ['50 %', '20 %'], wholeRecord),
  'specs/b.spec.yaml': colourSpec,
  'specs/c.spec.yaml': answers,
  'specs/d.spec.yaml': analogue,
};

/** A desk with one stored run, made once. */
let stored: string;

beforeAll(async () => {
  stored = desk({
    ...specs,
    'lamp.yaml': readFileSync('specs/lamps/alcove-6.lamp.yaml'),
    'rig.yaml': readFileSync('specs/rigs/simulated.rig.yaml'),
  });
  const files = ['--lamp', 'lamp.yaml', '--rig', 'rig.yaml'];
  const called = ['run', 'specs', '--jobs', '1', '--seed', '5', ...files];
  const { exitCode, stderr } = await evenfall(called, { cwd: stored });
  expect(exitCode, stderr).toBe(1);
});

function copyOfDesk(): string {
  const cwd = desk({});
  cpSync(stored, cwd, { recursive: true });
  return cwd;
}

function edit(cwd: string, file: string, change: (text: string) => string): void {
  const before = readFileSync(join(cwd, file), 'utf8');
  const after = change(before);
  expect(after).not.toBe(before);
  writeFileSync(join(cwd, file), after);
}

const rejudged = (cwd: string, ...more: string[]) =>
  runCommand(report, ['latest', '--rejudge', ...more], { cwd });

async function contentOf(folder: string): Promise<Record<string, string>> {
  const names = readdirSync(folder, { recursive: true, withFileTypes: true });
  const files = names
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name));
  const hashes = await Promise.all(files.map(async (file) => [file, await sha256File(file)]));
  return Object.fromEntries(hashes);
}

describe('evenfall report --rejudge', () => {
  it('gives the same bytes in every finding while the specs are what they were', async () => {
    const cwd = copyOfDesk();
    const { exitCode, stdout } = await rejudged(cwd);
    const [old, again] = runsIn(cwd);
    expect(findingsText(recordIn(again!))).toBe(findingsText(recordIn(old!)));
    // The lamp fails `answers`, and that is what the process says.
    expect(recordIn(again!).specs.map(({ verdict }) => verdict)).toEqual([
      'pass',
      'pass',
      'fail',
      'not applicable',
    ]);
    expect(exitCode).toBe(1);
    expect(stdout).toContain('specs unchanged since');
    expect(await brokenFiles(again!, (await readManifest(again!))!)).toEqual([]);
    for (const name of readdirSync(join(old!, 'captures'))) {
      const [a, b] = [old!, again!].map((folder) => readFileSync(join(folder, 'captures', name)));
      expect(a!.equals(b!)).toBe(true);
    }
  });

  it('judges by the tolerances of now, names the run that it follows, and leaves a signed one alone', async () => {
    const cwd = copyOfDesk();
    const [old] = runsIn(cwd);
    const { key, name } = newPerson('R. Aas');
    const decided = { meaning: 'held back', decision: 'hold', waivers: [] } as const;
    await signRun(old!, { key, name, ...decided, signedAt: new Date().toISOString() });
    const before = await contentOf(old!);
    edit(cwd, 'specs/a.spec.yaml', (text) => text.replace('± 30 %', '± 0.001 %'));
    const { exitCode, stdout } = await rejudged(cwd, '--out', 'again');
    expect(exitCode).toBe(1);
    expect(await contentOf(old!)).toEqual(before);
    expect(runsIn(cwd)).toEqual([old]);
    const record = recordIn(runsIn(cwd, 'again')[0]!);
    const { id, startedAt } = recordIn(old!);
    expect(record.follows).toEqual([{ id, how: 'rejudges' }]);
    expect(record.id).not.toBe(id);
    expect(record.deviations.at(-1)).toMatchObject({ kind: 'judged again' });
    expect(record.deviations.at(-1)?.text).toContain(`captures of run ${id} of ${startedAt}`);
    expect(record.deviations.at(-1)?.text).toContain('changed since: dims');
    expect(stdout.replace(/\s+/g, ' ')).toContain('deviation (judged again)');
    const [dims, colour] = record.specs;
    expect([dims!.verdict, colour!.verdict]).toEqual(['fail', 'pass']);
    expect(dims!.conditions[0]!.findings[0]!.limits.text).toContain('± 0.001 %');
    expect(dims!.conditions[0]!.findings[0]!.outcome).toEqual(
      recordIn(old!).specs[0]!.conditions[0]!.findings[0]!.outcome,
    );
  });

  it('judges by a criterion that was added later', async () => {
    const cwd = copyOfDesk();
    const more = '  - { metric: flicker-index, of: light, during: low, at-most: 1 }\n';
    edit(cwd, 'specs/b.spec.yaml', (text) => text + more);
    await rejudged(cwd, '--specs', 'specs/b.spec.yaml');
    const record = recordIn(runsIn(cwd)[1]!);
    expect(record.specs.map(({ spec }) => spec)).toEqual(['colour-keeps']);
    expect(record.specs[0]!.conditions[0]!.findings.map(({ metric }) => metric)).toEqual([
      'modulation',
      'uv-shift',
      'frame-band-contrast',
      'flicker-index',
    ]);
    const left = 'not judged again, and left out: dims, answers, analogue-only';
    expect(record.deviations.at(-1)?.text).toBe(left);
  });

  it.each([
    ['another stimulus', 'hold: 100 ms', 'hold: 101 ms', 'its stimulus has been changed'],
    ['other captures', '10 kHz', '20 kHz', 'its captures have been changed'],
    ['other conditions', '[50 %, 20 %]', '[50 %]', 'its conditions, repeats or needs'],
  ])('refuses %s, and names the spec', async (_what, from, to, says) => {
    const cwd = copyOfDesk();
    edit(cwd, 'specs/a.spec.yaml', (text) => text.replace(from, to));
    const { exitCode, stderr } = await rejudged(cwd);
    expect(exitCode).toBe(64);
    expect(stderr).toContain('specs/a.spec.yaml: dims');
    expect(stderr).toContain(says);
    expect(runsIn(cwd)).toHaveLength(1);
  });

  it('takes lamp and rig as they were: another curve or scale would judge other light', async () => {
    const cwd = copyOfDesk();
    cpSync(join(cwd, 'rig.yaml'), join(cwd, 'old.yaml'));
    edit(cwd, 'rig.yaml', (text) => text.replace('standard-scale: 0.1 %', 'standard-scale: 0.2 %'));
    const { exitCode, stderr } = await rejudged(cwd);
    expect(exitCode).toBe(64);
    expect(stderr).toContain('the rig file rig.yaml has changed since the run');
    expect(stderr).toContain('name the old file with --rig');
    expect((await rejudged(cwd, '--rig', 'old.yaml')).exitCode).toBe(1);
    edit(cwd, 'lamp.yaml', (text) => `${text}\n`);
    expect((await rejudged(cwd, '--rig', 'old.yaml')).stderr).toContain('the lamp file lamp.yaml');
  });

  it('refuses a run that is not as it was sealed', async () => {
    const cwd = copyOfDesk();
    const [old] = runsIn(cwd);
    const capture = readdirSync(join(old!, 'captures')).find((name) => name.endsWith('.codes'))!;
    const file = join(old!, 'captures', capture);
    const bytes = readFileSync(file);
    bytes[bytes.length - 1]! ^= 1;
    writeFileSync(file, bytes);
    const { exitCode, stderr } = await rejudged(cwd);
    expect(exitCode).toBe(77);
    expect(stderr).toContain(`captures/${capture} (altered)`);
  });

  it('says where to name specs that have gone', async () => {
    const cwd = copyOfDesk();
    writeFileSync(join(cwd, 'specs/c.spec.yaml'), answers.replace('spec: answers', 'spec: other'));
    const { exitCode, stderr } = await rejudged(cwd);
    expect(exitCode).toBe(66);
    expect(stderr).toContain('found none of answers; say where they are with --specs');
  });
});
