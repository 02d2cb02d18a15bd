import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { benchBrokenText } from '../../harness/record/bench-after.ts';
import { writeRig } from '../cli/emulated-rig.ts';
import { dimmingSpec, recordIn, runsIn } from '../cli/small-specs.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import { LabDesk } from './lab-desk.ts';

const open: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of open.splice(0)) await close();
});

/** A rig of the lab on an emulated bench of its own, whose rig file looks at it as `looks` says. */
async function emulated(lab: LabDesk, name: string, looks: string): Promise<string> {
  const emulation = await openTestEmulation();
  open.unshift(() => emulation.close());
  const folder = join(lab.cwd, name);
  mkdirSync(folder);
  const own = (text: string): string =>
    text
      .replace(/(\n {4}driver: (?:console|dali|scpi)\n)/g, '$1    retries: 3\n')
      .replace(/^rig: .*$/m, `rig: ${name}`);
  return writeRig(emulation, folder, (text) => `${own(text)}\n${looks}\n`);
}

const bad = '{ reference: { expected: 10 lx, within: 1 % } }';

it('honours before and after of each rig: a shard comes back with the reason, or is handed in as an error of the bench', async () => {
  const lab = new LabDesk(
    {
      'specs/a.spec.yaml': dimmingSpec('first', ['50 %']),
      'specs/b.spec.yaml': dimmingSpec('second', ['40 %']),
    },
    { silence: '60 s' },
  );
  open.push(() => lab.clear());
  await lab.serve();
  const rigs = { left: `before: ${bad}`, right: `after: ${bad}` };
  const [left, right] = await Promise.all(
    Object.entries(rigs).map(async ([name, looks]) => {
      const file = await emulated(lab, name, looks);
      return lab.rig(name, await lab.token(name, '--rig'), file);
    }),
  );
  for (const rig of [left, right]) await rig?.until((stdout) => stdout.includes('Serving as rig'));
  const dora = await lab.token('dora', '--role', 'submit');
  const asked = ['submit', 'specs', '--shards', '2', '--wait', '--quiet'];
  const submitted = lab.start(asked, dora);
  const { exitCode, stdout, stderr } = await submitted.ended;
  expect(exitCode, `${stderr}${lab.printed}`).toBe(3);
  expect(left?.printed).toMatch(
    /Handed shard \d\/2 .* back: before the first claim the bench was not good, reference: .*10 lx/,
  );
  expect(left?.printed).not.toMatch(/Sent/);
  expect(right?.printed).toMatch(/Sent shard 1\/2 .*: error/);
  expect(`${stdout}${stderr}`.replaceAll(/\s+/g, ' ')).toMatch(
    /the bench right was not good: reference: .*10 lx expected/,
  );

  const [folder = ''] = runsIn(lab.cwd);
  expect(await checkSeal(folder)).toMatchObject({ state: 'sealed', problems: [] });
  const record = recordIn(folder);
  expect(record).toMatchObject({ verdict: 'error', ended: 'complete' });
  expect(record.specs.map(({ verdict }) => verdict)).toEqual(['pass', 'pass']);
  expect(record.shards?.map(({ rig }) => [rig.name, rig.after?.state])).toEqual([
    ['right', 'broken'],
    ['right', 'broken'],
  ]);
  expect(benchBrokenText(record)).toMatch(/the bench right/);
}, 180_000);
