import { sampleAt, valueAt } from '../../signal/samples.ts';
import type { Waveform } from '../../waveform.ts';
import { forEachCovered, type WholePeriods } from './whole-periods.ts';

/** One harmonic: rms value and phase (rad) against the start of the periods, as a sine. */
interface Harmonic {
  readonly rms: number;
  readonly phase: number;
}

/** What an alternating quantity is made of. */
export interface Harmonics {
  readonly fundamental: Harmonic;
  /** Orders 0 to 40; order 0 is the mean. */
  readonly byOrder: readonly Harmonic[];
}

/** Highest order that the standards count. */
const highestOrder = 40;

/**
 * Harmonics of an alternating quantity over whole periods, by correlation with sine and cosine.
 * Source: IEC 61000-4-7 (harmonics over whole periods with a rectangular window; from memory).
 */
export function harmonics(waveform: Waveform, periods: WholePeriods): Harmonics {
  const { sine, cosine, total } = correlations(waveform, periods);
  const harmonicOf = (order: number): Harmonic => {
    const [s, c] = [valueAt(sine, order), valueAt(cosine, order)];
    if (order === 0) return { rms: c / total, phase: 0 };
    const amplitude = (2 * Math.hypot(s, c)) / total;
    return { rms: amplitude / Math.SQRT2, phase: Math.atan2(c, s) };
  };
  const byOrder = Array.from({ length: highestOrder + 1 }, (_, order) => harmonicOf(order));
  return { fundamental: harmonicOf(1), byOrder };
}

/** Sums of the samples times sine and cosine of each order, and of the samples' weights. */
function correlations(waveform: Waveform, periods: WholePeriods) {
  const { samples, rate, start } = waveform;
  const sine = new Float64Array(highestOrder + 1);
  const cosine = new Float64Array(highestOrder + 1);
  let total = 0;
  forEachCovered(waveform, periods, (index, weight) => {
    // The middle of a sample that is covered in part lies within the covered part.
    const at = start + (index + 0.5) / rate - periods.from;
    const value = weight * sampleAt(samples, index);
    const [s1, c1] = [Math.sin(turn(at, periods)), Math.cos(turn(at, periods))];
    let [s, c] = [0, 1];
    for (let order = 0; order <= highestOrder; order++) {
      sine[order] = valueAt(sine, order) + value * s;
      cosine[order] = valueAt(cosine, order) + value * c;
      const turned = s * c1 + c * s1;
      c = c * c1 - s * s1;
      s = turned;
    }
    total += weight;
  });
  return { sine, cosine, total };
}

function turn(at: number, { frequency }: WholePeriods): number {
  return 2 * Math.PI * frequency * at;
}

/** The odd harmonics as parts of the fundamental, for evidence. */
export function harmonicNotes({ byOrder, fundamental }: Harmonics): Record<string, number> {
  const notes: Record<string, number> = {};
  for (const [order, { rms }] of byOrder.entries()) {
    if (order % 2 === 1) notes[`harmonic-${order}`] = rms / fundamental.rms;
  }
  return notes;
}
