import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { readSpecs } from '../../../harness/cli/read-specs.ts';
import { RigLane } from '../../../harness/cli/rig-lane.ts';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import type { Lane } from '../../../harness/run/lane.ts';
import { runCondition } from '../../../harness/run/run-condition.ts';
import type { Plan } from '../../../harness/spec/plan.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from './open-test-bench.ts';
import { inProcess, runPlans } from './run-plans.ts';

type Faults = readonly { readonly fault: string; readonly size: number }[];

/** Specs of every kind of capture and every link that the emulated bench has; the whole library takes a quarter of an hour. */
const some = [
  'fading/fades-on-time',
  'fading/retarget-without-jump',
  'dimming/reaches-bottom',
  'colour/target-chromaticity',
  'flicker/no-effect',
  'control/dali-clamps',
  'control/sacn-priority',
  'robustness/supply-returns',
];

/** The first condition of each. */
function plansOf(names: readonly string[]): readonly Plan[] {
  const files = names.map((name) => `specs/${name}.spec.yaml`);
  const { plans, issues } = readSpecs(files, lamp, resolve('.'));
  expect(issues).toEqual([]);
  return plans.map((plan) => ({ ...plan, conditions: plan.conditions.slice(0, 1), repeat: 1 }));
}

/** Over real sockets, by the drivers of a rig. */
async function onEmulation(plans: readonly Plan[], faults: Faults): Promise<RunRecord> {
  const emulation = await openTestEmulation({ faults, factoryFresh: true });
  try {
    const rig = rigFor(emulation, { deadline: 10 });
    const to = { rig, lamp, folder: resolve('specs/rigs') };
    return await runPlans(plans, rig, new RigLane(to, await openRig(to), new Map()));
  } finally {
    await emulation.close();
  }
}

/** In this process, on a virtual clock. */
function onPlant(plans: readonly Plan[], faults: Faults): Promise<RunRecord> {
  const lane: Lane = {
    execute: (task, signal) => {
      const wall = { wallNow: () => new Date().toISOString() };
      return runCondition(task, () => openPlantBench(task), signal, wall);
    },
    safe: async () => ({ confirmed: true, detail: 'simulated' }),
    close: async () => {},
  };
  return runPlans(plans, inProcess(emulatedRig), lane, faults);
}

interface Figure {
  readonly verdict: string;
  readonly value: number;
  readonly expanded: number;
}

function figures({ specs }: RunRecord): Map<string, Figure> {
  const all = specs.flatMap(({ spec, conditions }) =>
    conditions.flatMap(({ key, findings }) =>
      findings.map((finding) => {
        const name = `${spec} [${key}] ${finding.metric} of ${finding.of} ${finding.during ?? ''}`;
        const value = 'value' in finding.outcome ? Number(finding.outcome.value) : Number.NaN;
        const expanded = finding.uncertainty?.expanded ?? 0;
        return [name, { verdict: finding.verdict, value, expanded }] as const;
      }),
    ),
  );
  return new Map(all);
}

function verdictsOf({ specs }: RunRecord): readonly string[] {
  return specs.map(
    ({ spec, verdict, reason }) => `${spec}: ${verdict} ${verdict === 'error' ? reason : ''}`,
  );
}

describe('the same claims over real ports and in this process', () => {
  it('a healthy lamp: same verdicts, figures within their uncertainties', {
    timeout: 300_000,
  }, async () => {
    const plans = plansOf(some);
    const here = await onPlant(plans, []);
    const there = await onEmulation(plans, []);
    expect(verdictsOf(there)).toEqual(verdictsOf(here));
    expect(there.safeState).toMatchObject({ confirmed: true });
    const over = figures(there);
    const distances: number[] = [];
    const far: string[] = [];
    for (const [name, { value, expanded }] of figures(here)) {
      const other = over.get(name);
      if (!other || !Number.isFinite(value) || !(expanded > 0)) continue;
      const distance = Math.abs(other.value - value) / (expanded + other.expanded);
      distances.push(distance);
      if (distance > 1) far.push(`${name}: ${value} and ${other.value}, ${distance.toFixed(2)}`);
    }
    expect(distances.length).toBeGreaterThan(20);
    // k = 2 covers about 95 % of figures (JCGM 100, 6.3.3), and a busy machine sends commands at other instants: the
    // lamp is then a little warmer or cooler in each window.
    expect(distances.length - far.length, far.join('\n')).toBeGreaterThanOrEqual(
      0.9 * distances.length,
    );
    expect(Math.max(...distances)).toBeLessThan(3);
  });

  it('a lamp that dims straight, not along the curve: both say fail', {
    timeout: 120_000,
  }, async () => {
    const plans = plansOf(['fading/fade-follows-curve']);
    const faults = [{ fault: 'linear-dimming', size: 1 }];
    const here = await onPlant(plans, faults);
    const there = await onEmulation(plans, faults);
    expect(here.verdict).toBe('fail');
    expect(there.verdict).toBe('fail');
  });
});
