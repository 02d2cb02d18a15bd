import { resolve } from 'node:path';
import { openRig } from '../../drivers/open-rig.ts';
import type { Emulation } from '../../drivers/plant/emulate/emulation.ts';
import type { Trouble } from '../../drivers/plant/emulate/trouble.ts';
import type { Identity } from '../../harness/bench/ports.ts';
import type { Plan } from '../../harness/plan/plan.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { RigLane } from '../../harness/workflow/lanes/rig-lane.ts';
import { lamp } from '../drivers/conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from '../drivers/emulate/open-test-bench.ts';
import { runPlans } from '../drivers/emulate/run-plans.ts';

/** A long last hold leaves a busy machine time. Current, colour and both of the lamp's ways to be told: a second of lamp time a condition. */
const text = (link: string) => `spec: trouble-probe
claim: The lamp dims as commanded, and keeps its colour.
conditions:
  level: [50 %, 20 %]
stimulus:
  - set: { level: 100 %, mix: all, link: ${link} }
  - hold: 60 ms
  - mark: full
  - hold: 300 ms
  - mark: turning
  - set: { level: $level, link: ${link} }
  - hold: 60 ms
  - mark: low
  - hold: 700 ms
capture:
  - { signal: channel-current, of: each-channel, rate: 10 kHz }
  - { signal: colour, of: lamp, integration: 20 ms, every: 150 ms }
criteria:
  - { metric: level-ratio, of: each-channel, during: low, reference: full, target: $level, tolerance: ± 30 % }
  - { metric: uv-shift, of: lamp, during: low, reference: full, at-most: 0.05 }
`;

function probePlan(link: string): Plan {
  const file = 'trouble-probe.spec.yaml';
  const read = readSpec(text(link), { file, folder: 'trouble', digest: '0'.repeat(64), lamp });
  if ('plan' in read) return read.plan;
  throw new Error(read.issues.map(({ message }) => message).join('\n'));
}

export interface Story {
  readonly record: RunRecord;
  /** What the bench itself says when all is over. */
  readonly outputOn: boolean;
  readonly dark: boolean;
  /** s, of wall clock */
  readonly took: number;
}

const nobody: ReadonlyMap<string, Identity> = new Map();

/** Runs the probe on a bench of its own, by the real engine, lane and drivers; the trouble begins before the first condition. */
export async function runUnder(
  troubles: readonly Trouble[],
  { terminal = false, deadline = 1.5, known = nobody, link = 'console' } = {},
): Promise<Story> {
  const emulation = await openTestEmulation();
  try {
    return await run(emulation, troubles, terminal, deadline, known, probePlan(link));
  } finally {
    await emulation.close();
  }
}

async function run(
  emulation: Emulation,
  troubles: readonly Trouble[],
  terminal: boolean,
  deadline: number,
  known: ReadonlyMap<string, Identity>,
  probe: Plan,
): Promise<Story> {
  const started = performance.now();
  const shipped = rigFor(emulation, { terminal, deadline });
  const rig = { ...shipped, safe: { ...shipped.safe, within: 2 } };
  const to = { rig, lamp, folder: resolve('specs/rigs') };
  const bench = await openRig(to);
  emulation.troubles.set(troubles);
  const record = await runPlans([probe], rig, new RigLane(to, bench, known));
  await emulation.live.catchUp();
  return {
    record,
    outputOn: emulation.live.on,
    dark: emulation.live.simulation.dark(),
    took: (performance.now() - started) / 1000,
  };
}
