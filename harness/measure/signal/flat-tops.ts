import { type Samples, sampleAt } from './samples.ts';
import { statistics } from './statistics.ts';

/** Equal samples in a row that make a flat. */
const flat = 3;
/** Flats that an overload which repeats leaves. */
const fewestFlats = 2;
/** Part of the samples off the extremes that may equal their neighbour: more, and the record stands still everywhere. */
const elsewhere = 0.05;

/**
 * A mark of an overload in a record whose range nobody states: the same extreme value stands still for three samples or
 * more, at least twice, while the samples off the extremes (half of them at least) move.
 * Pulses between two exact levels have hardly a sample off the extremes, and a rounded record stands still everywhere.
 * Source: common practice, no source. It is a suspicion: a limiter in the lamp leaves the same mark.
 */
export function looksClipped(samples: Samples): boolean {
  const { lowest, highest } = statistics(samples);
  let between = 0;
  let still = 0;
  for (let k = 1; k < samples.length; k++) {
    const value = sampleAt(samples, k);
    if (value === lowest || value === highest) continue;
    between++;
    if (value === sampleAt(samples, k - 1)) still++;
  }
  if (between < samples.length / 2 || still > elsewhere * between) return false;
  return Math.max(flatsAt(samples, highest), flatsAt(samples, lowest)) >= fewestFlats;
}

/** Stretches of at least three samples of exactly this value. */
function flatsAt(samples: Samples, level: number): number {
  let found = 0;
  let run = 0;
  for (let k = 0; k < samples.length; k++) {
    run = sampleAt(samples, k) === level ? run + 1 : 0;
    if (run === flat) found++;
  }
  return found;
}
