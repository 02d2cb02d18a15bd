import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { openPlantBench } from '../../drivers/plant/plant-bench.ts';
import { driverSettings } from '../../drivers/registry.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import { metrics } from '../../harness/measure/metrics.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import type { Finding } from '../../harness/record/run-record.ts';
import { runCondition } from '../../harness/run/condition/run-condition.ts';
import { jobsOf } from '../../harness/run/engine/jobs.ts';
import type { ConditionTask } from '../../harness/run/engine/lane.ts';
import type { RunSetup } from '../../harness/run/engine/run-setup.ts';
import { readSpecs } from '../../harness/workflow/inputs/read-specs.ts';
import { sampled, whole } from '../sampled.ts';
import { shippedLamp, specsFolder } from '../spec-language/shipped-lamp.ts';
import { capturesReadBy } from './tripwire.ts';

const rigFile = join(specsFolder, 'rigs', 'simulated.rig.yaml');
const readen = readRig(readFileSync(rigFile, 'utf8'), rigFile, driverSettings);
if (!('rig' in readen)) throw new Error('the simulated rig has issues');
const { rig } = readen;

/** A metric as it is registered, and what it was asked about for a finding. */
interface Asked {
  readonly metric: Metric;
  readonly observation: Observation;
}
const asked: Asked[] = [];

/** Every metric's `compute` listens in; a mock of the test runner would keep the samples of each call. */
const restore = metrics.map((registered) => {
  const metric = { ...registered };
  const compute: Metric['compute'] = (observation, options) => {
    // The runs of the uncertainty budget ask for no evidence.
    if (options?.evidence !== false) asked.push({ metric, observation });
    return metric.compute(observation, options);
  };
  Object.assign(registered, { compute });
  return () => Object.assign(registered, { compute: metric.compute });
});

afterAll(() => restore.forEach((undo) => void undo()));

async function findingsOf(task: ConditionTask): Promise<readonly Finding[]> {
  const { lamp, seed, lampSeed, faults } = task;
  const open = () => openPlantBench({ lamp, rig, seed, lampSeed, faults });
  const clock = { wallNow: () => '2026-01-01T00:00:00Z' };
  const { signal } = new AbortController();
  return (await runCondition(task, open, signal, clock)).condition.findings;
}

/** What each finding names, beside what its metric read; a finding for which no metric was computed read nothing. */
function compared(findings: readonly Finding[]) {
  return findings.map((finding) => {
    const { metric: id, of, during, captures } = finding;
    const [first] = asked;
    const own = first?.metric.id === id && first.observation.of === of ? asked.shift() : undefined;
    const read = own ? [...capturesReadBy(own.metric, own.observation)] : [];
    return {
      finding: `${id} of ${of} during ${during}`,
      names: [...captures].sort(),
      read: read.sort(),
    };
  });
}

describe('every finding of the library names exactly the captures whose samples its metric read', () => {
  it.each(sampled(['alcove-1', 'alcove-6'], 1))(
    'on %s',
    async (name) => {
      const lamp = shippedLamp(name);
      const { plans } = readSpecs([specsFolder], lamp, '/');
      const all = jobsOf({ plans, lamp, rig, seed: 1, faults: [] } as unknown as RunSetup);
      // Conditions of a claim are judged by the same metrics: one of each, and a third of the claims, unless the campaign is whole.
      const specs = [...new Set(all.map(({ task }) => task.spec))];
      const jobs = sampled(specs, Math.ceil(specs.length / 3)).flatMap((spec) => {
        const own = all.filter(({ task }) => task.spec === spec);
        return sampled(own, 1, spec);
      });
      let named = 0;
      for (const { task } of jobs) {
        const findings = await findingsOf(task);
        for (const { finding, names, read } of compared(findings)) {
          expect(names, `${task.spec} [${task.condition.key}]: ${finding}`).toEqual(read);
          named += names.length;
        }
        expect(asked, task.spec).toEqual([]);
      }
      expect(named).toBeGreaterThan(whole ? 200 : specs.length / 3);
    },
    600_000,
  );
});
