import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';
import { brokenFiles } from '../../harness/archive/broken-files.ts';
import { readManifest } from '../../harness/archive/manifest.ts';
import type { ConditionRecord } from '../../harness/record/run-record.ts';
import { openTestEmulation } from '../drivers/emulate/open-test-bench.ts';
import { writeRig } from './emulated-rig.ts';
import { evenfall } from './program.ts';
import { desk, recordIn, runsIn } from './small-specs.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
});
afterAll(async () => {
  await emulation?.close();
});

/** A current that stands still long before its window and after it: no busy machine is late for it. */
function steady(limit: string): string {
  return `spec: steady
claim: The current stands still.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 400 ms
  - mark: still
  - hold: 200 ms
  - mark: after
  - hold: 400 ms
capture:
  - { signal: channel-current, of: each-channel, rate: 10 kHz }
criteria:
  - { metric: mean-current, of: warm, during: still, at-most: ${limit} }
`;
}

it('a rig measures again what is inconclusive, through the whole stimulus, and is left safe', async () => {
  const cwd = desk({ 'specs/steady.spec.yaml': steady('5 A') });
  // Scale and zero that are exact: what is left differs from one measurement to the next.
  const exact = (text: string): string =>
    text
      .replace(/standard-offset: [\d.]+ µA/g, 'standard-offset: 0 µA')
      .replace(/standard-scale: [\d.]+ %/g, 'standard-scale: 0 %');
  const rig = writeRig(emulation, cwd, exact);
  const env = { EVENFALL_LOCKS: join(cwd, 'locks') };
  const args = ['run', 'specs', '--rig', rig, '--retries', '5'];
  const conditionIn = (folder = ''): ConditionRecord | undefined =>
    recordIn(folder).specs[0]?.conditions[0];
  expect((await evenfall(args, { cwd, env })).exitCode).toBe(0);
  const outcome = conditionIn(runsIn(cwd)[0])?.findings[0]?.outcome;
  const value = outcome?.measured ? outcome.value : Number.NaN;

  // The limit is where the lamp is, to the last digit that the bench can tell.
  writeFileSync(join(cwd, 'specs/steady.spec.yaml'), steady(`${(1000 * value).toPrecision(9)} mA`));
  const { stderr } = await evenfall([...args, '--until-decided', '2'], { cwd, env });
  expect(stderr).toContain('steady is inconclusive: measuring it again, 2 of at most 3');
  const folder = runsIn(cwd).at(-1) ?? '';
  const condition = conditionIn(folder);
  const { measurements = [], captures = [], findings = [] } = condition ?? {};
  expect(measurements.length).toBeGreaterThan(1);
  const starts = measurements.map(({ startedAt }) => startedAt);
  expect(starts).toEqual([...new Set(starts)].sort());
  for (const { commands = condition?.commands } of measurements)
    expect(commands?.filter(({ verb }) => verb === 'set')).toHaveLength(1);
  const ids = captures.filter(({ of }) => of === 'warm').map(({ id }) => id);
  expect(ids).toEqual(
    measurements.map((_, k) => `channel-current-warm${k === 0 ? '' : `.${k + 1}`}`),
  );
  expect(new Set(findings[0]?.repeated?.values).size).toBe(measurements.length);
  expect(await brokenFiles(folder, (await readManifest(folder))!)).toEqual([]);
  expect(recordIn(folder).safeState.confirmed).toBe(true);
});
