import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { type Plateau, plateausIn } from './plateaus.ts';

/** A sweep over steady levels, each held against the brightest. */
export interface Sweep {
  readonly levels: readonly SweptLevel[];
  readonly plateaus: readonly Plateau[];
}

export interface SweptLevel {
  readonly at: number;
  /** Both relative to full light, as far as the brightest level of the sweep is what was commanded. */
  readonly commanded: number;
  readonly measured: number;
  /** Standard uncertainty of `measured` from the scatter of both plateaus. */
  readonly standard: number;
}

/** A level this many standard uncertainties above zero is seen. */
const seen = 3;

/**
 * The lit levels of a sweep. Not measurable: fewer than `fewest` of them; `dark` where the record would have shown the light
 * that was commanded and did not come, `below-noise` where it would not.
 */
export function sweepIn(observation: Observation, fewest: number): Sweep | NotMeasurable {
  const all = plateausIn(observation);
  if (!isMeasurable(all)) return all;
  const plateaus = all.filter(({ commanded }) => commanded > 0);
  const [first, ...others] = plateaus;
  if (!first || plateaus.length < fewest) {
    const facts = { found: plateaus.length, needed: fewest, unit: '1', note: 'steady levels' };
    return notMeasurable('out-of-domain', facts);
  }
  const full = others.reduce((one, two) => (two.commanded > one.commanded ? two : one), first);
  const unlit = plateaus.find(({ level, standard }) => level <= seen * standard);
  if (unlit) return unseen(unlit, full);
  const levels = plateaus.map((plateau) => sweptLevel(plateau, full));
  return { levels, plateaus };
}

function sweptLevel(plateau: Plateau, full: Plateau): SweptLevel {
  const scale = full.commanded / full.level;
  // The brightest is right by definition: its own scatter cannot move it against itself.
  const relative =
    plateau === full ? 0 : Math.hypot(plateau.standard / plateau.level, full.standard / full.level);
  const measured = plateau.level * scale;
  return {
    at: plateau.from,
    commanded: plateau.commanded,
    measured,
    standard: measured * relative,
  };
}

function unseen({ commanded, standard, from }: Plateau, full: Plateau): NotMeasurable {
  const note = `light of the level at ${Number(from.toPrecision(4))} s`;
  if (full.level <= 0) return notMeasurable('below-noise', { note });
  // Both relative to the brightest level.
  const found = commanded / full.commanded;
  const needed = (2 * seen * standard) / full.level;
  return found > needed
    ? notMeasurable('dark', { note })
    : notMeasurable('below-noise', { found, needed, unit: '1', note });
}
