import { afterAll, beforeAll, expect, it } from 'vitest';
import { readRecordFile } from '../../harness/archive/record-file.ts';
import { evenfall } from '../cli/program.ts';
import { dimmingSpec, runsIn } from '../cli/small-specs.ts';
import { LabDesk } from './lab-desk.ts';

const wrong = dimmingSpec('misses', ['50 %']).replaceAll('target: $level', 'target: 90 %');
const library = {
  'specs/a.spec.yaml': dimmingSpec('long', ['50 %', '20 %']),
  'specs/b.spec.yaml': wrong,
  'specs/c.spec.yaml': dimmingSpec('short', ['5 %']),
};

let lab: LabDesk;
let dora = '';
/** The first submission, and its run. */
let first = { submission: '', run: '', folder: '' };

beforeAll(async () => {
  lab = new LabDesk(library);
  await lab.serve();
  const rig = lab.rig('left', await lab.token('left', '--rig'));
  await rig.until((stdout) => stdout.includes('Serving as rig'));
  dora = await lab.token('dora', '--role', 'submit');
  const { stdout, exitCode } = await submit('--build', '1.4.2');
  expect(exitCode).toBe(1);
  const [folder = ''] = runsIn(lab.cwd);
  const [, submission = ''] = /^Submission (\S+):/.exec(stdout) ?? [];
  first = { submission, run: (await readRecordFile(folder)).id, folder };
});
afterAll(() => lab.clear());

function submit(...more: readonly string[]) {
  return lab.call(['submit', 'specs', '--simulated', '--wait', '--quiet', ...more], dora);
}

it.each([
  ['latest', () => 'latest'],
  ['a submission', () => first.submission],
  ['a build', () => '1.4.2'],
  ['a run by the start of its id', () => first.run.slice(0, 8)],
  ['a path of a stored run here', () => first.folder],
])('submits what did not pass in %s, and the record says so', async (_what, name) => {
  const before = runsIn(lab.cwd);
  const { exitCode, stderr } = await submit('--failed-in', name(), '--build', '1.4.3');
  expect(exitCode, stderr).toBe(1);
  expect(stderr).toContain('Again what did not pass in the run ');
  expect(stderr).toContain(': 1 of ');
  expect(stderr).toContain('(misses)');
  const [own = ''] = runsIn(lab.cwd).filter((folder) => !before.includes(folder));
  const { specs, selection, lamp } = await readRecordFile(own);
  expect(specs.map(({ spec }) => spec)).toEqual(['misses']);
  expect(lamp.build).toBe('1.4.3');
  const asked = name() === 'latest' ? expect.any(String) : first.run;
  expect(selection).toMatchObject({ failedIn: asked });
});

it('takes a stored run of the folder reports here, where the lab knows none of that name', async () => {
  await evenfall(['run', 'specs', '--only', 'misses', '--only', 'short', '--out', 'own/reports'], {
    cwd: lab.cwd,
  });
  const [own = ''] = runsIn(lab.cwd, 'own/reports');
  const { id } = await readRecordFile(own);
  const asking = { EVENFALL_LAB: lab.url, EVENFALL_LAB_TOKEN: dora };
  const args = ['submit', '../specs', '--simulated', '--wait', '--failed-in', id.slice(0, 8)];
  const { exitCode, stderr } = await evenfall(args, { cwd: `${lab.cwd}/own`, env: asking });
  expect(exitCode, stderr).toBe(1);
  expect(stderr).toContain('1 of 2 claims (misses)');
});

it('submits nothing where everything had passed', async () => {
  const good = await submit('--only', 'short', '--build', 'good');
  expect(good.exitCode, good.stderr).toBe(0);
  const before = runsIn(lab.cwd);
  const { exitCode, stdout } = await submit('--failed-in', 'good');
  expect(exitCode).toBe(0);
  expect(stdout).toMatch(
    /^Nothing to submit again: in the run .*, build good, every claim that applies to the lamp passed \(1\)\.\n$/,
  );
  expect(runsIn(lab.cwd)).toEqual(before);
});

it.each([
  [
    'a run that neither has',
    ['--failed-in', 'nightly-7'],
    66,
    /expected a submission, a build or a run of the lab, or a stored run here, found none called "nightly-7"/,
  ],
  [
    'a submission that does not exist',
    ['--failed-in', '3f2a77e0-0000-4000-8000-000000000000'],
    66,
    /found none called "3f2a77e0/,
  ],
  [
    'claims by name as well',
    ['--failed-in', 'latest', '--only', 'short'],
    64,
    /--failed-in: not with --only/,
  ],
  ['specs without those claims', ['--failed-in', '1.4.2', '--tag', 'none'], 64, /has the tag none/],
])('refuses %s with a sentence', async (_what, args, code, said) => {
  const { exitCode, stderr } = await submit(...args);
  expect(stderr).toMatch(said);
  expect(exitCode, stderr).toBe(code);
});

it('says that a lab has no run on real rigs yet', async () => {
  const { exitCode, stderr } = await lab.call(['submit', 'specs', '--failed-in', 'latest'], dora);
  expect(stderr).toContain('this lab has no run of alcove-6 on rigs of real instruments yet');
  expect(exitCode).toBe(66);
});
