import type { Heard } from '../../bench/heard.ts';
import { mostFlashes } from './flashes.ts';
import { changesMemory, restsOnMemory } from './lamp-memory.ts';

/** What may be done with a lamp on a bench, with people about it. */
export interface BenchTerms {
  /** Longest sequence, s. */
  readonly longest: number;
  /** Highest light of a channel, 0..1 of its full light. */
  readonly brightest: number;
  /** Somebody has read the cautions: it may flash. */
  readonly flashingOk: boolean;
}

/** What a sequence made of the simulated lamp. */
export interface Foreseen {
  readonly heard: readonly Heard[];
  readonly until: number;
  /** Of each channel over the whole time, 0..1 of its full light; `step` s each. */
  readonly light: readonly ArrayLike<number>[];
  readonly step: number;
}

/** So many flashes within a second are too many (WCAG 2.2, 2.3.1 allows three; photosensitive epilepsy begins at about 3 Hz). */
const tooMany = 3;
/** A level may be exceeded by this, for the steps of modulators. */
const margin = 1.02;

/** Why a sequence is left out on a bench, in words; null where it may be carried out. */
export function whyNotOnRig(foreseen: Foreseen, terms: BenchTerms): string | null {
  const { heard, until, light, step } = foreseen;
  if (until > terms.longest) return `longer than ${terms.longest} s`;
  if (heard.some(changesMemory)) return 'it changes what the lamp keeps';
  if (heard.some(restsOnMemory)) return 'it rests on what the lamp has kept';
  const brightest = light.reduce((most, one) => Math.max(most, highest(one)), 0);
  if (brightest > margin * terms.brightest) return 'brighter than allowed';
  const total = Float64Array.from({ length: light[0]?.length ?? 0 }, (_, index) =>
    light.reduce((sum, one) => sum + (one[index] ?? 0), 0),
  );
  const full = Math.max(highest(total), terms.brightest);
  if (!terms.flashingOk && mostFlashes({ light: total, step, full }) >= tooMany)
    return 'it flashes at 3 Hz or faster';
  return null;
}

function highest(light: ArrayLike<number>): number {
  let most = 0;
  for (let index = 0; index < light.length; index++) most = Math.max(most, light[index] ?? 0);
  return most;
}
