import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { driverSettings } from '../../drivers/registry.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import { register as check } from '../../harness/cli/authoring/check.ts';
import { register as explain } from '../../harness/cli/authoring/explain.ts';
import { register as create } from '../../harness/cli/authoring/new.ts';
import { starters } from '../../harness/cli/authoring/starters.ts';
import { register as trace } from '../../harness/cli/authoring/trace.ts';
import { runCommand } from './run-command.ts';

const specs = join(import.meta.dirname, '..', '..', 'specs');
const alcove = join(specs, 'lamps', 'alcove-6.lamp.yaml');

let cwd: string;
beforeEach(() => {
  cwd = mkdtempSync(join(tmpdir(), 'evenfall-author-'));
});
afterEach(() => rmSync(cwd, { recursive: true, force: true }));

describe('evenfall new', () => {
  it('writes files that are read without issues', async () => {
    for (const kind of ['spec', 'lamp', 'rig', 'policy'])
      await runCommand(create, [kind, 'my-first'], { cwd });
    const text = (ending: string) => readFileSync(join(cwd, `my-first.${ending}.yaml`), 'utf8');
    expect(readLamp(text('lamp'), 'x')).not.toHaveProperty('issues');
    expect(readRig(text('rig'), 'x', driverSettings)).not.toHaveProperty('issues');
    const explained = await runCommand(
      explain,
      ['my-first.spec.yaml', '--lamp', 'my-first.lamp.yaml'],
      { cwd },
    );
    expect(explained.exitCode).toBe(0);
    const checked = await runCommand(check, ['my-first.policy.yaml'], { cwd });
    expect(checked).toMatchObject({ exitCode: 0, stdout: '1 policy file read\nno issues\n' });
  });

  it.each([
    ['the rig file that it writes', starters.rig.replace('NAME', 'own')],
    ['the rig file in specs/README.md', readFileSync(join(specs, 'README.md'), 'utf8')],
  ])('names only settings that the drivers know: %s', (_, text) => {
    const example = text.match(/^```yaml\n([^`]*^rig: [^`]*)^```$/m)?.[1] ?? text;
    expect(readRig(example, 'x', driverSettings)).not.toHaveProperty('issues');
  });

  it('names the schema where it lies from the new file, and none where there is none', async () => {
    const first = (file: string) => readFileSync(join(cwd, file), 'utf8').split('\n')[0];
    await runCommand(create, ['spec', 'alone'], { cwd });
    expect(first('alone.spec.yaml')).toMatch(/^# One claim/);
    mkdirSync(join(cwd, 'specs/schemas'), { recursive: true });
    writeFileSync(join(cwd, 'specs/schemas/spec.schema.json'), '{}');
    await runCommand(create, ['spec', 'top'], { cwd });
    expect(first('top.spec.yaml')).toMatch(/schema=\.\/specs\/schemas\/spec\.schema\.json$/);
    await runCommand(create, ['spec', 'own', '--out', 'specs/fading/own.spec.yaml'], { cwd });
    expect(first('specs/fading/own.spec.yaml')).toMatch(
      /schema=\.\.\/schemas\/spec\.schema\.json$/,
    );
  });

  it('never overwrites a file', async () => {
    writeFileSync(join(cwd, 'a.spec.yaml'), 'mine');
    const { exitCode, stderr } = await runCommand(create, ['spec', 'a'], { cwd });
    expect(exitCode).toBe(73);
    expect(stderr).toContain('a.spec.yaml: it already exists and is unchanged');
    expect(readFileSync(join(cwd, 'a.spec.yaml'), 'utf8')).toBe('mine');
  });

  it('refuses a kind or a name that it does not know', async () => {
    expect((await runCommand(create, ['sepc', 'a'], { cwd })).exitCode).toBe(64);
    expect((await runCommand(create, ['spec', 'A b'], { cwd })).exitCode).toBe(64);
    expect((await runCommand(create, ['spec', 'a', '--out', 'a.yaml'], { cwd })).exitCode).toBe(64);
  });
});

describe('evenfall explain', () => {
  it('tells in words, with a drawing, what will be commanded, recorded and judged', async () => {
    writeFileSync(
      join(cwd, 'a.spec.yaml'),
      `spec: steps
claim: It steps.
traces: [REQ-1]
stimulus:
  - mark: full
  - set: { level: 100 %, mix: { warm: 100 % } }
  - hold: 1 s
  - mark: dark
  - fade: { level: 1 %, over: 500 ms }
  - hold: 500 ms
capture:
  - { signal: light, rate: 20 kHz, during: dark }
criteria:
  - { metric: modulation, of: light, during: full, at-most: 8 % }
`,
    );
    const { exitCode, stdout } = await runCommand(explain, ['a.spec.yaml', '--lamp', alcove], {
      cwd,
      columns: 30,
    });
    expect(exitCode).toBe(0);
    expect(stdout).toBe(`steps
It steps.

Requirements: REQ-1
One condition; 2 s of lamp time in total.

What is commanded
        0 s  — full —
        0 s  set level 100 %, warm 100 %
        0 s  hold for 1 s
        1 s  — dark —
        1 s  fade to level 1 % over 500 ms
      1.5 s  hold for 500 ms

warm   |███████████▇▆▅▄▄▄▄▄▄|
cool   |                    |
red    |                    |
lime   |                    |
cyan   |                    |
indigo |                    |
light  |          ==========|
window |[full     [dark     |
        0                2 s
(height of a bar: four decades of light, full at the top)

What is recorded
  light, at 20 kS/s, during dark

What is judged
  Modulation (percent flicker) of light, during full: at most 8 %
      line 14; source: wilkins-2010; up-to 4 kHz
`);
  });

  it('tells the issues of a spec that cannot be read', async () => {
    writeFileSync(join(cwd, 'a.spec.yaml'), 'spec: a\n');
    const { exitCode, stderr } = await runCommand(explain, ['a.spec.yaml', '--lamp', alcove], {
      cwd,
    });
    expect(exitCode).toBe(65);
    expect(stderr).toContain(
      'a.spec.yaml:1:1: claim: expected text, but "claim" is missing; add it',
    );
  });
});

describe('evenfall trace', () => {
  const requirements = 'id,text\nREQ-1,It fades on time\nREQ-2,"Nobody, yet"\n';

  it('lists claims by requirement and ends with 1 where one is not covered', async () => {
    writeFileSync(join(cwd, 'r.csv'), `\ufeff${requirements}`);
    await runCommand(create, ['spec', 'on-time'], { cwd });
    const file = join(cwd, 'on-time.spec.yaml');
    writeFileSync(
      file,
      readFileSync(file, 'utf8').replace('# traces: [REQ-1] ', 'traces: [REQ-1, REQ-9]'),
    );
    const { exitCode, stdout } = await runCommand(
      trace,
      ['.', '--requirements', 'r.csv', '--lamp', alcove],
      { cwd },
    );
    expect(exitCode).toBe(1);
    expect(stdout).toContain('1 of 2 requirements are covered; no stored run of alcove-6');
    expect(stdout).toContain('no claim covers REQ-2: Nobody, yet\n');
    expect(stdout).toContain('on-time traces REQ-9, which r.csv does not list\n');
  });

  it('tells what is wrong with the list of requirements', async () => {
    const wrong: readonly (readonly [string, string])[] = [
      [
        'number,text\n1,x\n',
        'r.csv, row 1: expected a header with the column "id" (and "text"), found number, text',
      ],
      ['id,text\nREQ-1,a\nREQ-1,b\n', 'r.csv, row 3: the id REQ-1 stands in row 2 too'],
      ['id,text\n,b\n', 'r.csv, row 2: expected an id, found none'],
      ['id,text\nREQ-1\n', 'r.csv, row 2: expected CSV with the same number of cells in every row'],
      ['', 'r.csv, row 1: expected a header with the column "id"'],
    ];
    for (const [text, message] of wrong) {
      writeFileSync(join(cwd, 'r.csv'), text);
      const ran = await runCommand(trace, ['.', '--requirements', 'r.csv'], { cwd });
      expect(ran.exitCode).toBe(65);
      expect(ran.stderr).toContain(message);
    }
  });
});
