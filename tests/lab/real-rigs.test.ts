import { readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { outputIsOn } from '../cli/emulated-rig.ts';
import { dimmingSpec, recordIn, runsIn } from '../cli/small-specs.ts';
import { type EmulatedRig, emulatedRig } from './emulated-rigs.ts';
import { kill, LabDesk } from './lab-desk.ts';

const open: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of open.splice(0)) await close();
});

/** Keeps what it was told, and the build that it was handed. */
const flash = `
import { readFileSync, writeFileSync } from 'node:fs';
const order = JSON.parse(readFileSync(0, 'utf8'));
writeFileSync('told.json', JSON.stringify({ ...order, bytes: readFileSync(order.firmware, 'utf8') }));
console.log('verified');
`;

/** With a step that puts the build into its lamp. */
async function emulated(lab: LabDesk, name: string): Promise<EmulatedRig> {
  const steps = '\nprepare:\n  - { step: flash, command: [node, flash.mjs], expect: verified }\n';
  const rig = await emulatedRig(lab, name, steps);
  open.unshift(() => rig.emulation.close());
  writeFileSync(join(dirname(rig.file), 'flash.mjs'), flash);
  return rig;
}

it('puts the build into the lamps of real rigs, and goes on where one was killed, its lamp safe meanwhile', async () => {
  const files = {
    'specs/a.spec.yaml': dimmingSpec('first', ['50 %', '40 %', '30 %', '20 %'], '', '400 ms'),
    'specs/b.spec.yaml': dimmingSpec('second', ['50 %', '40 %', '30 %', '20 %'], '', '400 ms'),
    'build.bin': 'the build',
  };
  const lab = new LabDesk(files, { silence: '60 s' });
  open.push(() => lab.clear());
  await lab.serve();
  const left = await emulated(lab, 'left');
  const right = await emulated(lab, 'right');
  const token = await lab.token('left', '--rig');
  const first = lab.rig('left', token, left.file);
  const second = lab.rig('right', await lab.token('right', '--rig'), right.file);
  for (const rig of [first, second]) await rig.until((stdout) => stdout.includes('Serving as rig'));
  const dora = await lab.token('dora', '--role', 'submit');
  const asked = ['submit', 'specs', '--firmware', 'build.bin', '--build', '1.0.0', '--shards', '2'];
  const submitted = lab.start([...asked, '--wait', '--quiet'], dora);
  // A condition of the first rig has come to the lab.
  const late = setTimeout(() => console.log(lab.printed), 90_000);
  open.push(async () => clearTimeout(late));
  await submitted.until((_, stderr) => /on left \((first|second) level=40 %\)/.test(stderr));
  expect(await outputIsOn(left.emulation)).toBe(true);
  await kill(first);
  await expect.poll(() => outputIsOn(left.emulation), { timeout: 20_000 }).toBe(false);
  const again = lab.rig('left', token, left.file);
  await again.until((stdout) => stdout.includes('Resumes shard'));
  const { exitCode, stderr } = await submitted.ended;
  expect(exitCode, `${stderr}${lab.printed}`).toBe(0);

  const [folder = ''] = runsIn(lab.cwd);
  expect(await checkSeal(folder)).toMatchObject({ state: 'sealed', problems: [] });
  const record = recordIn(folder);
  expect(record.rig.simulated).toBe(false);
  expect(record.shards?.map(({ rig }) => rig.name).sort()).toEqual(['left', 'right']);
  expect(record.specs.map(({ conditions }) => conditions.length)).toEqual([4, 4]);
  for (const name of ['left', 'right']) {
    const told = JSON.parse(readFileSync(join(lab.cwd, name, 'told.json'), 'utf8'));
    expect(told).toMatchObject({ do: 'prepare', build: '1.0.0', bytes: 'the build' });
  }
});
