import { afterEach, expect, it } from 'vitest';
import { dimmingSpec } from '../cli/small-specs.ts';
import { LabDesk } from './lab-desk.ts';

let lab: LabDesk;
afterEach(() => lab.clear());

const levels = Array.from({ length: 40 }, (_, k) => `${10 + k} %`);
const library = { 'specs/a.spec.yaml': dimmingSpec('long', levels, '', '1 s') };

it('says that no lab answers, and does not wait for it', async () => {
  lab = new LabDesk(library);
  const token = `evenfall_${'x'.repeat(43)}`;
  const at = ['--lab', 'http://127.0.0.1:59999'];
  const { exitCode, stderr } = await lab.call(['submit', 'specs', '--simulated', ...at], token);
  expect(exitCode).toBe(69);
  expect(stderr).toContain('expected a lab at http://127.0.0.1:59999: connect ECONNREFUSED');
});

it('ends at Ctrl-C with a sentence, and gives back what it had taken', async () => {
  lab = new LabDesk(library);
  await lab.serve();
  const rig = lab.rig('left', await lab.token('left', '--rig'));
  await rig.until((stdout) => stdout.includes('Serving as rig'));
  const dora = await lab.token('dora', '--role', 'submit');
  const submitted = lab.start(['submit', 'specs', '--simulated', '--wait'], dora);
  await submitted.until((_, stderr) => stderr.includes('shard 1 on left (long'));
  const [, id = ''] = /^Submission (\S+):/.exec(submitted.printed) ?? [];

  submitted.child.kill('SIGINT');
  const waited = await submitted.ended;
  expect(waited.exitCode).toBe(130);
  expect(waited.stderr).toContain(`To end it: evenfall lab cancel ${id}\n`);
  expect(waited.stderr).not.toContain('unexpected');

  rig.child.kill('SIGINT');
  const served = await rig.ended;
  expect(served.exitCode).toBe(130);
  expect(served.stdout).toContain('back: the rig was stopped');
  expect(served.stderr).not.toContain('unexpected');

  const emil = await lab.token('emil', '--role', 'submit');
  expect((await lab.call(['lab', 'cancel', id], emil)).exitCode).toBe(77);
  // As pages and rigs name it.
  const short = id.slice(0, 8);
  expect((await lab.call(['lab', 'cancel', id.slice(0, 7)], dora)).exitCode).not.toBe(0);
  const cancelled = await lab.call(['lab', 'cancel', short], dora);
  expect(cancelled.stdout).toBe(`Submission ${short} is cancelled\n`);
  expect((await lab.call(['lab', 'cancel', id], dora)).stderr).toContain('nothing to cancel');
});
