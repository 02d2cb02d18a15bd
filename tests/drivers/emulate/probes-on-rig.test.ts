import { resolve } from 'node:path';
import { expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import { loadFirmware } from '../../../drivers/plant/firmware/load-firmware.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { RigLane } from '../../../harness/workflow/lanes/rig-lane.ts';
import { buildAlcove } from '../../firmware/build-firmware.ts';
import { lamp } from '../conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from './open-test-bench.ts';
import { runPlans } from './run-plans.ts';

const text = `spec: counts
claim: The firmware counts the lines that it obeys.
conditions:
  level: [50 %, 20 %]
stimulus:
  - set: { level: $level, mix: all }
  - hold: 300 ms
  - mark: counted
  - hold: 300 ms
capture:
  - { signal: probe, of: lines }
criteria:
  - { metric: probe-highest, during: counted, between: [0.5, 1.5] }
`;

it('a probe comes over the console of a rig, is no answer, and begins anew with each condition', async () => {
  const spec = readSpec(text, { file: 'counts.spec.yaml', folder: 'x', digest: '0', lamp });
  if (!('plan' in spec)) throw new Error(JSON.stringify(spec.issues));
  const firmware = await loadFirmware(buildAlcove('../probes'), 'probes.wasm');
  const emulation = await openTestEmulation({ firmware, factoryFresh: true });
  try {
    const rig = rigFor(emulation, { deadline: 10 });
    const to = { rig, lamp, folder: resolve('specs/rigs') };
    const lane = new RigLane(to, await openRig(to), new Map());
    const { specs } = await runPlans([{ ...spec.plan, digest: '0'.repeat(64) }], rig, lane);
    const conditions = specs[0]?.conditions ?? [];
    expect(conditions.map(({ verdict, reason }) => reason ?? verdict)).toEqual(['pass', 'pass']);
    for (const { probes, commands } of conditions) {
      const [track, ...others] = probes ?? [];
      expect(others).toEqual([]);
      expect(track).toMatchObject({ name: 'lines', unit: '', values: [1], late: 0.02 });
      // Told by the first command, and not by one of the condition before.
      expect(track?.at[0]).toBeGreaterThan(-0.1);
      expect(commands.flatMap(({ besides = [] }) => besides)).toEqual([]);
    }
  } finally {
    await emulation.close();
  }
});
