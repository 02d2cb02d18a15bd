import type { DarkNoise } from '../measure/dark-noise.ts';

/** What the dark wiring of an input was found to record. Figures in the unit of the wire. */
export interface DarkRecord {
  readonly date: string;
  /** Length of the record behind it, s, and its sampling rate, Hz. */
  readonly length: number;
  readonly rate: number;
  /** White noise of one sample at that rate, rms. */
  readonly noise: number;
  /** Below it the noise that falls with frequency outweighs the white noise, Hz; 0 where none was found. */
  readonly corner: number;
  /** Change along a straight line over the record. */
  readonly drift: number;
  /** Hum, its harmonics and other pickup. */
  readonly lines: DarkNoise['lines'];
}

/** The dark noise that records of this input have. */
export function darkNoiseOf({ length, rate, noise, corner, drift, lines }: DarkRecord): DarkNoise {
  // One-sided density of white noise of one sample: 2 noise² / rate; at the corner the falling noise has the same.
  return { slow: (2 * noise * noise * corner) / rate, lines, drift: Math.abs(drift) / length };
}
