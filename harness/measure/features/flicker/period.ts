import type { Component } from './components.ts';
import type { Limit } from './worst-component.ts';

/** A component sets the period when it has this part of the strongest one's amplitude, or uses this part of its own limit. */
const seen = 0.1;
const ownShare = 0.5;
/** So weak, a strict reader may still count it. */
const faint = 0.01;
const faintShare = 0.1;

/** Does a component (relative amplitude, own limit) belong to the course of a light whose strongest one is given? */
export function setsPeriod(amplitude: number, strongest: number, limit: number): boolean {
  return amplitude >= seen * strongest || amplitude >= ownShare * limit;
}

/**
 * Which components set the period of the waveform, and which besides them a strict reader would count. No clause has a rule;
 * this one is our own: a tenth of the strongest amplitude, or half of its own limit. A component no stronger than what folds
 * down from above half the sampling rate is judged by the first alone.
 *
 * @param folded amplitude that a folded component may have, relative to the mean
 */
export function periodSetters(
  components: readonly Component[],
  limit: Limit,
  folded: number,
): { readonly sure: readonly Component[]; readonly strict: readonly Component[] } {
  const strongest = components.reduce((most, { amplitude }) => Math.max(most, amplitude), 0);
  const real = (c: Component): number => (c.amplitude > folded ? limit(c.frequency) : Infinity);
  return {
    sure: components.filter((c) => setsPeriod(c.amplitude, strongest, real(c))),
    strict: components.filter(
      (c) =>
        c.amplitude >= seen * strongest ||
        (c.amplitude > folded &&
          (c.amplitude >= faint * strongest || c.amplitude >= faintShare * limit(c.frequency))),
    ),
  };
}

/** Frequency of a period, and its standard uncertainty, Hz. */
export type Period = Pick<Component, 'frequency' | 'deviation'>;

/** Periods of the slowest component that the whole waveform's may be as long as: beyond, tones count as unrelated. */
const longest = 6;
/** Standard uncertainties within which a multiple must be met. */
const within = 3;
/** A multiple known no better than this part of the base tells nothing. */
const sure = 0.25;

/**
 * The common period of components: that of the slowest, or of a few of its periods where only those hold whole periods of
 * all the others. Components without a common period: that of the slowest.
 */
export function commonPeriod(components: readonly Component[]): Period | undefined {
  const [slowest, ...others] = [...components].sort((a, b) => a.frequency - b.frequency);
  if (!slowest) return undefined;
  const odd = others.filter((other) => misfit(other, slowest) === 'misses');
  for (let periods = 1; periods <= longest; periods++) {
    const base = { frequency: slowest.frequency / periods, deviation: slowest.deviation / periods };
    if (odd.every((other) => misfit(other, base) === 'fits')) return base;
  }
  return slowest;
}

/** Does a component repeat with a period? Multiples whose own uncertainty is as wide as the base do not tell. */
function misfit(other: Component, base: Period): 'fits' | 'misses' | 'open' {
  const times = Math.max(1, Math.round(other.frequency / base.frequency));
  const allowed = within * Math.hypot(other.deviation, times * base.deviation);
  if (allowed > sure * base.frequency) return 'open';
  return Math.abs(other.frequency - times * base.frequency) <= allowed ? 'fits' : 'misses';
}
