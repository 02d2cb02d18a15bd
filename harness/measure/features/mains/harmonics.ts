import type { Waveform } from '../../waveform.ts';
import { forEachCovered, type WholePeriods } from './whole-periods.ts';

/** One harmonic: rms value and phase (rad) against the start of the periods, as a sine. */
export interface Harmonic {
  readonly rms: number;
  readonly phase: number;
}

/** Highest order that the standards count. */
const highestOrder = 40;

/**
 * Harmonics 1..40 of an alternating quantity over whole periods (index 0 is the mean), by correlation with sine and
 * cosine. Source: IEC 61000-4-7 (harmonics over whole periods with a rectangular window; from memory).
 */
export function harmonics(waveform: Waveform, periods: WholePeriods): readonly Harmonic[] {
  const { samples, rate, start } = waveform;
  const sine = new Float64Array(highestOrder + 1);
  const cosine = new Float64Array(highestOrder + 1);
  let total = 0;
  forEachCovered(waveform, periods, (index, weight) => {
    // The middle of a sample that is covered in part lies within the covered part.
    const at = start + (index + 0.5) / rate - periods.from;
    const value = weight * samples[index]!;
    const [s1, c1] = [Math.sin(turn(at, periods)), Math.cos(turn(at, periods))];
    let [s, c] = [0, 1];
    for (let order = 0; order <= highestOrder; order++) {
      sine[order]! += value * s;
      cosine[order]! += value * c;
      [s, c] = [s * c1 + c * s1, c * c1 - s * s1];
    }
    total += weight;
  });
  return Array.from({ length: highestOrder + 1 }, (_, order) => {
    if (order === 0) return { rms: cosine[0]! / total, phase: 0 };
    const amplitude = (2 * Math.hypot(sine[order]!, cosine[order]!)) / total;
    return { rms: amplitude / Math.SQRT2, phase: Math.atan2(cosine[order]!, sine[order]!) };
  });
}

function turn(at: number, { frequency }: WholePeriods): number {
  return 2 * Math.PI * frequency * at;
}
