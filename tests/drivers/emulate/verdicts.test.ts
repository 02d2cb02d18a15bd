import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import type { Plan } from '../../../harness/plan/plan.ts';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { runCondition } from '../../../harness/run/condition/run-condition.ts';
import type { Lane } from '../../../harness/run/engine/lane.ts';
import { readSpecs } from '../../../harness/workflow/inputs/read-specs.ts';
import { RigLane } from '../../../harness/workflow/lanes/rig-lane.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from './open-test-bench.ts';
import { inProcess, runPlans } from './run-plans.ts';

type Faults = readonly { readonly fault: string; readonly size: number }[];

/** Specs of every kind of capture and every link that the emulated bench has; the whole library takes a quarter of an hour. */
const some = [
  'fading/fades-on-time',
  'fading/retarget-without-jump',
  'fading/smooth-start-and-stop',
  'dimming/reaches-bottom',
  'colour/target-chromaticity',
  'flicker/no-effect',
  'flicker/low-frequency-in-fade',
  'fading/at-once',
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

/**
 * A machine that stalls makes the instant of a command uncertain, and "inconclusive" the right verdict: such a spec is
 * measured again, twice at most, as `--until-decided` would.
 */
async function decidedOnEmulation(plans: readonly Plan[]): Promise<RunRecord> {
  let record = await onEmulation(plans, []);
  for (let tries = 2; tries > 0; tries--) {
    const open = record.specs
      .filter(({ verdict }) => verdict === 'inconclusive')
      .map(({ spec }) => spec);
    if (open.length === 0) break;
    const again = await onEmulation(
      plans.filter((plan) => open.includes(plan.spec)),
      [],
    );
    const specs = record.specs.map(
      (one) => again.specs.find((two) => two.spec === one.spec) ?? one,
    );
    record = { ...record, specs };
  }
  return record;
}

/** In this process, on a virtual clock. `turn`: the same lamp with other noise. */
function onPlant(plans: readonly Plan[], faults: Faults, turn = 0): Promise<RunRecord> {
  const lane: Lane = {
    execute: (given, signal) => {
      const task = { ...given, seed: given.seed + turn };
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
  /** Combined standard uncertainty. */
  readonly standard: number;
}

const nothing = { expanded: 0, coverageFactor: 1 };

function figures({ specs }: RunRecord): Map<string, Figure> {
  const all = specs.flatMap(({ spec, conditions }) =>
    conditions.flatMap(({ key, findings }) =>
      findings.map((finding) => {
        const name = `${spec} [${key}] ${finding.metric} of ${finding.of} ${finding.during ?? ''}`;
        const value = 'value' in finding.outcome ? Number(finding.outcome.value) : Number.NaN;
        const { expanded, coverageFactor } = finding.uncertainty ?? nothing;
        return [
          name,
          { verdict: finding.verdict, value, standard: expanded / coverageFactor },
        ] as const;
      }),
    ),
  );
  return new Map(all);
}

/** Runs of the same simulated lamp that differ in their noise alone. */
const turns = [1, 2, 3, 4];

type Figures = ReadonlyMap<string, Figure>;

/**
 * How far figures over real ports are from those of the simulated lamp, in combined standard uncertainties: what each
 * states, and the scatter of the simulated ones (type A, JCGM 100:2008, 4.2), since the largest of many noisy numbers
 * scatters more than each of them.
 */
function distances(there: Figures, here: Figures, again: readonly Figures[]) {
  return [...here].flatMap(([name, one]) => {
    const other = there.get(name);
    const values = [one, ...again.flatMap((each) => each.get(name) ?? [])].map(
      ({ value }) => value,
    );
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    const scatter =
      Math.hypot(...values.map((value) => value - mean)) / Math.sqrt(values.length - 1);
    if (!other || !Number.isFinite(mean)) return [];
    const standard = Math.hypot(one.standard, other.standard, scatter);
    if (!(standard > 0)) return [];
    const distance = Math.abs(other.value - mean) / standard;
    const text = `${name}: ${mean} and ${other.value}, ${distance.toFixed(2)}`;
    return [{ name, distance, text }];
  });
}

type Distance = ReturnType<typeof distances>[number];

/** The channels of one condition share the instant of its command: one metric of theirs, on the average, counts once. */
function byMetric(all: readonly Distance[]): readonly { name: string; distance: number }[] {
  const groups = new Map<string, Distance[]>();
  for (const one of all) {
    const name = one.name.replace(/ of \S+ /, ' ');
    groups.set(name, [...(groups.get(name) ?? []), one]);
  }
  return [...groups].map(([name, group]) => ({
    name,
    distance: group.reduce((sum, { distance }) => sum + distance, 0) / group.length,
  }));
}

/**
 * How many of `n` figures lie beyond k = 2 but once in a thousand runs: of a normal distribution each does with 4.55 %
 * (JCGM 100:2008, G.1.3), together they are distributed binomially.
 */
function mostBeyondTwo(n: number): number {
  const each = 0.0455;
  let [chance, more, most] = [(1 - each) ** n, 1, 0];
  while ((more -= chance) > 1e-3) chance *= ((n - most) / ++most) * (each / (1 - each));
  return most;
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
    const there = await decidedOnEmulation(plans);
    expect(verdictsOf(there)).toEqual(verdictsOf(here));
    expect(there.safeState).toMatchObject({ confirmed: true });
    const again = await Promise.all(turns.map((turn) => onPlant(plans, [], turn)));
    const all = distances(figures(there), figures(here), again.map(figures));
    expect(all.length).toBeGreaterThan(20);
    const beyond = (factor: number): readonly string[] =>
      all.filter(({ distance }) => distance > factor).map(({ text }) => text);
    // JCGM 100:2008, G.1.3: of a normal distribution k = 3 covers 99.73 %.
    expect(beyond(3)).toEqual([]);
    const metrics = byMetric(all);
    const far = metrics.filter(({ distance }) => distance > 2).length;
    expect(far, beyond(2).join('\n')).toBeLessThanOrEqual(mostBeyondTwo(metrics.length));
  });

  it('counts as a binomial distribution does', () => {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.6.18; 20 and 51 figures, computed with exact fractions.
    expect([mostBeyondTwo(20), mostBeyondTwo(51)]).toEqual([5, 8]);
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
