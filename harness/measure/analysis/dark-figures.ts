import type { DarkLine, DarkNoise } from '../dark-noise.ts';
import { driftAlong } from '../signal/drift-along.ts';
import { parts, scatterOfMean } from '../signal/scatter-of-mean.ts';
import { slowNoisePower } from '../signal/slow-noise-power.ts';
import type { Waveform } from '../waveform.ts';
import { analysisOf } from './analysis.ts';

/** What a record with everything dark shows, in its unit. */
export interface DarkFigures {
  /** The zero, and its standard uncertainty from the scatter of ten parts; a record that never moves is known to its step. */
  readonly mean: number;
  readonly standardMean: number;
  /** White noise of one sample, rms. */
  readonly noise: number;
  readonly slow: DarkNoise['slow'];
  /** Change along a straight line over the record; 0 where its uncertainty explains it. */
  readonly drift: number;
  /** The strongest ones, by frequency. */
  readonly lines: readonly DarkLine[];
}

/** Lines that are kept: the strongest. */
const mostLines = 16;
/** A drift of so many standard uncertainties is one. */
const significant = 2;

/** Fewer samples than `fewestDark` tell nothing. */
export const fewestDark = 100;

/**
 * Zero, noise, drift and pickup of a record of the dark wiring.
 *
 * @param record at least `fewestDark` samples, with everything off
 * Source: scatter of means, JCGM 100:2008 4.2.3; a step's rectangle, 4.3.7. Clauses from memory.
 */
export function darkFiguresOf(record: Waveform): DarkFigures {
  const { samples, step = 0 } = record;
  const { noise: seen, spectrum, lines, statistics } = analysisOf(record);
  // Within a step of the converter anything may hide.
  const noise = Math.max(seen, step / Math.sqrt(12));
  const { drift, standard } = driftAlong(samples);
  return {
    mean: statistics.mean,
    standardMean: Math.max(scatterOfMean(samples), step / Math.sqrt(12 * parts)),
    noise,
    slow: slowNoisePower(spectrum, lines, noise),
    drift: Math.abs(drift) > significant * standard ? drift : 0,
    lines: lines
      .toSorted((a, b) => b.amplitude - a.amplitude)
      .slice(0, mostLines)
      .toSorted((a, b) => a.frequency - b.frequency)
      .map(({ frequency, amplitude }) => ({ frequency, amplitude })),
  };
}
