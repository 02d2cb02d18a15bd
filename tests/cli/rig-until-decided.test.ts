import { afterAll, beforeAll, expect, it } from 'vitest';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';
import { brokenFiles } from '../../harness/archive/broken-files.ts';
import { readManifest } from '../../harness/archive/manifest.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import { writeRig } from './emulated-rig.ts';
import { buildProgram, evenfall } from './program.ts';
import { desk, dimmingSpec, recordIn, runsIn } from './small-specs.ts';

let emulation: Emulation;
beforeAll(async () => {
  buildProgram();
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

/** Where this lamp is, to the last digit that the bench can tell. */
const onLimit = `  - { metric: level-ratio, of: warm, during: low, reference: full, at-most: 50.0009 % }
`;

it('a rig measures again what is inconclusive, through the whole stimulus, and is left safe', async () => {
  const cwd = desk({ 'specs/on.spec.yaml': dimmingSpec('on', ['50 %'], onLimit, '250 ms') });
  // A zero that is exact: what is left differs from one measurement to the next.
  const exact = (text: string): string =>
    text.replace(/standard-offset: [\d.]+ µA/g, 'standard-offset: 0 µA');
  const rig = writeRig(emulation, cwd, exact);
  const env = { EVENFALL_LOCKS: `${cwd}/locks` };
  const args = ['run', 'specs', '--rig', rig, '--retries', '5', '--until-decided', '2'];
  const { stderr } = await evenfall(args, { cwd, env });
  expect(stderr).toContain('on, level 50 % is inconclusive: measuring it again, 2 of at most 3');
  const [folder = ''] = runsIn(cwd);
  const record = recordIn(folder);
  const [condition] = record.specs[0]?.conditions ?? [];
  const { measurements = [], captures = [], findings = [] } = condition ?? {};
  expect(measurements.length).toBeGreaterThan(1);
  const starts = measurements.map(({ startedAt }) => startedAt);
  expect(starts).toEqual([...new Set(starts)].sort());
  for (const { commands = condition?.commands } of measurements)
    expect(commands?.filter(({ verb }) => verb === 'set')).toHaveLength(2);
  const ids = captures.filter(({ of }) => of === 'warm').map(({ id }) => id);
  expect(ids).toEqual(
    measurements.map((_, k) => `channel-current-warm${k === 0 ? '' : `.${k + 1}`}`),
  );
  expect(new Set(findings.at(-1)?.repeated?.values).size).toBe(measurements.length);
  expect(await brokenFiles(folder, (await readManifest(folder))!)).toEqual([]);
  expect(record.safeState.confirmed).toBe(true);
});
