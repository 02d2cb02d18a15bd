import type { Fault } from '../../drivers/plant/faults/fault.ts';
import { faults } from '../../drivers/plant/faults/faults.ts';
import { unmetNeed } from '../../harness/plan/unmet-need.ts';
import { type RunInputs, readRunInputs } from '../../harness/workflow/inputs/run-inputs.ts';
import type { Errand } from './gather.ts';
import type { Trial } from './gathered.ts';

/** Which claims a fault is put to: those that its author names, the commit subset besides, or the library. */
export type Claims = 'named' | 'commit' | 'all';

interface Wanted {
  readonly claims: Claims;
  /** Faults, and claims beside those that a fault's author names, by their ids. */
  readonly faults: RegExp;
  readonly only: RegExp;
  /** Share of the nominal size. Faults of one size only are tried at that, and at no other. */
  readonly size: number;
  readonly seed: number;
}

const root = `${import.meta.dirname}/../..`;
/** In the order in which they are considered for a fault. */
const lampNames = ['alcove-6', 'alcove-1', 'alcove-pwm', 'alcove-9'];

/** The library on each shipped lamp. */
export function shippedLamps(): readonly RunInputs[] {
  return lampNames.map((name) => {
    const lamp = `specs/lamps/${name}.lamp.yaml`;
    return readRunInputs({ paths: ['specs'], lamp, tags: [] }, root);
  });
}

/** The lamp that a fault is tried on: the first that can have it. */
function lampFor({ needs }: Fault, lamps: readonly RunInputs[]): RunInputs | undefined {
  return lamps.find(({ lamp }) => unmetNeed(needs ?? {}, lamp) === null);
}

export function trialOf(
  fault: Fault,
  lamps: readonly RunInputs[],
  { size, seed }: Pick<Wanted, 'size' | 'seed'>,
): Trial | null {
  const inputs = lampFor(fault, lamps);
  if (!inputs || (size !== 1 && fault.sizes.length === 1)) return null;
  const own = Number((fault.size.nominal * size).toPrecision(6));
  return { fault: fault.id, size: own, lamp: inputs.lamp.lamp, seed };
}

/** What there is to run, fault by fault. */
export function errandsOf(wanted: Wanted, lamps: readonly RunInputs[]): Errand[] {
  return faults.flatMap((fault) => {
    const trial = trialOf(fault, lamps, wanted);
    const inputs = lampFor(fault, lamps);
    if (!trial || !inputs || !wanted.faults.test(fault.id)) return [];
    const among = ({ spec, tags }: RunInputs['plans'][number]): boolean =>
      (wanted.claims === 'all' || (wanted.claims === 'commit' && tags.includes('commit'))) &&
      wanted.only.test(spec);
    const plans = inputs.plans.filter((plan) => fault.caughtBy.includes(plan.spec) || among(plan));
    return [{ trial, inputs, specs: new Set(plans.map(({ spec }) => spec)) }];
  });
}
