import type { Fault } from '../../../drivers/plant/faults/fault.ts';
import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import type { ChallengedFault } from '../../record/challenge-record.ts';
import type { RunInputs } from '../inputs/run-inputs.ts';
import type { ChallengePool } from './challenge-pool.ts';

export interface FaultTrial {
  readonly pool: ChallengePool;
  /** One for each lamp file; a fault is tried on the first lamp that can have it. */
  readonly lamps: readonly RunInputs[];
  readonly seeds: readonly number[];
  /** Only the claims that the fault names, unless none of them catches it. */
  readonly quick: boolean;
}

/** At the nominal size; then smaller and smaller with the specs that caught it, until none does. */
export async function challengeFault(fault: Fault, trial: FaultTrial): Promise<ChallengedFault> {
  const { id, title, family, size } = fault;
  const known = { fault: id, title, family, unit: size.unit, nominalSize: size.nominal };
  const inputs = trial.lamps.find(({ lamp }) => unmetNeed(fault.needs ?? {}, lamp) === null);
  if (!inputs) return { ...known, ...nothing, lamp: null, notTried: whyNot(fault, trial.lamps) };
  const at = (each: number, plans: readonly Plan[]) =>
    caughtAt({ fault: id, size: each }, plans, inputs, trial);
  const named = inputs.plans.filter(({ spec }) => fault.caughtBy.includes(spec));
  const first = await at(size.nominal, named);
  const enough = trial.quick && first.always.length > 0;
  const caught = enough ? first : await at(size.nominal, inputs.plans);
  return {
    ...known,
    lamp: inputs.lamp.lamp,
    caughtBy: caught.always,
    sometimesBy: caught.sometimes,
    missedBy: named.map(({ spec }) => spec).filter((spec) => !caught.always.includes(spec)),
    smallestSizeCaught: await smallestCaught(fault, caught.always, inputs, at),
    notTried: null,
  };
}

const nothing = { caughtBy: [], sometimesBy: [], missedBy: [], smallestSizeCaught: null };

async function smallestCaught(
  { size, sizes }: Fault,
  by: readonly string[],
  { plans }: RunInputs,
  at: (size: number, plans: readonly Plan[]) => Promise<{ readonly always: readonly string[] }>,
): Promise<number | null> {
  if (by.length === 0) return null;
  // The sizes run from barely there to gross, whichever way the figure goes.
  const smaller = sizes.slice(0, sizes.indexOf(size.nominal)).reverse();
  let found = size.nominal;
  let able = plans.filter(({ spec }) => by.includes(spec));
  for (const other of smaller) {
    const { always } = await at(other, able);
    if (always.length === 0) break;
    found = other;
    able = able.filter(({ spec }) => always.includes(spec));
  }
  return found;
}

async function caughtAt(
  fault: { readonly fault: string; readonly size: number },
  plans: readonly Plan[],
  inputs: RunInputs,
  { pool, seeds }: FaultTrial,
): Promise<{ always: string[]; sometimes: string[] }> {
  const results = await Promise.all(seeds.map((seed) => pool.run({ inputs, fault, seed }, plans)));
  const failures = (spec: string): number =>
    results.filter((result) => result[spec]?.verdict === 'fail').length;
  const names = plans.map(({ spec }) => spec).filter((spec) => failures(spec) > 0);
  const always = names.filter((spec) => failures(spec) === seeds.length);
  return { always, sometimes: names.filter((spec) => !always.includes(spec)) };
}

function whyNot({ needs }: Fault, lamps: readonly RunInputs[]): string {
  return lamps.map(({ lamp }) => unmetNeed(needs ?? {}, lamp)).join('; ');
}
