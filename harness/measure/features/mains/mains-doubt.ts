import { codeChanges } from '../../analysis/code-changes.ts';
import { quietNoise, recordedNoise } from '../../analysis/noise.ts';
import { lengthOf } from '../../analysis/waveform-part.ts';
import type { Contribution } from '../../outcome.ts';
import type { Waveform } from '../../waveform.ts';
import type { MainsRecord } from './mains-record.ts';
import type { WholePeriods } from './whole-periods.ts';

/**
 * What the choice of the periods does to a figure: its largest change where the first or the last period is left out. Such are
 * unsteady currents, components between the harmonics, and the ends of the window between two samples.
 */
export function windowDoubt(
  record: MainsRecord,
  figure: (record: MainsRecord) => number,
): Contribution {
  const { periods } = record;
  const whole = figure(record);
  let standard = 0;
  for (const shorter of shortened(periods)) {
    const change = Math.abs(figure({ ...record, periods: shorter }) - whole);
    if (Number.isFinite(change)) standard = Math.max(standard, change);
  }
  return { name: 'choice of the periods', standard };
}

function shortened({ from, to, count, frequency }: WholePeriods): readonly WholePeriods[] {
  if (count < 2) return [];
  const rest = { count: count - 1, frequency };
  return [
    { ...rest, from: from + 1 / frequency, to },
    { ...rest, from, to: to - 1 / frequency },
  ];
}

/**
 * Part by which a harmonic is larger than it reads: each sample may be the mean over its interval, and the sensor has a
 * bandwidth.
 * Source: sin x / x of a mean over an interval, 1 / sqrt(1 + (f/f_c)²) of a single pole (closed forms).
 */
export function attenuation({ rate, bandwidth }: Waveform, frequency: number): number {
  const angle = (Math.PI * frequency) / rate;
  const averaging = angle < Math.PI ? Math.sin(angle) / angle : 1;
  return Math.hypot(1, bandwidth ? frequency / bandwidth : 0) / averaging;
}

/** What noise and rounding alone make of the current's harmonics, A rms, 95 % bounds. */
export interface SpuriousCurrent {
  /** In any single harmonic. */
  readonly single: number;
  /** In all of the harmonics 2 to 40 together. */
  readonly together: number;
}

/** 95 % of two normal quadratures lie within this many standard deviations of one (Rayleigh distribution). */
const rayleigh = Math.sqrt(-2 * Math.log(0.05));
/** The harmonics 2 to 40 have 78 quadratures; 95 % of their sums of squares lie within 1.13² of the mean (chi-square). */
const quadratures = 78;
const chi = 1.13;

/**
 * Least harmonics that a record can show. White noise of s in N samples leaves s/√N of rms value in each quadrature. Rounding
 * that noise does not spread leaves step/√12 in all, in pieces from one change of the code to the next: their signs are
 * taken as independent, and no component exceeds that of a square wave of half a step.
 */
export function spuriousCurrent(current: Waveform, periods: WholePeriods): SpuriousCurrent {
  const { step = 0 } = current;
  const noise = Math.min(recordedNoise(current), quietNoise(current));
  const sigma = noise / Math.sqrt(Math.max(1, lengthOf(current)));
  const white = { single: rayleigh * sigma, together: chi * Math.sqrt(quadratures) * sigma };
  if (noise >= step / 2) return white;
  const pieces = Math.max(1, codeChanges(current) / periods.count);
  const rms = step / Math.sqrt(12);
  const square = (Math.SQRT2 / Math.PI) * step;
  return {
    single: Math.hypot(white.single, Math.min(square, rayleigh * rms * Math.sqrt(1 / pieces))),
    together: Math.hypot(white.together, rms),
  };
}
