import { type DarkNoise, noDarkNoise } from '../../harness/measure/dark-noise.ts';

/** What an instrument does to a record, all as parts of the signal's size, and what of it is stated. */
export interface Instrument {
  /** White noise of one sample, rms. */
  readonly white: number;
  /** Root of the power of noise that falls with frequency: about its rms over half a decade. */
  readonly slow?: number;
  readonly lines?: DarkNoise['lines'];
  /** Standard deviation of a straight drift over the record. */
  readonly drift?: number;
  /** Standard deviation of the zero. */
  readonly offset?: number;
  readonly bits?: number;
  /** Standard deviation of each sample's instant, in sample intervals, and of the time base (relative). */
  readonly jitter?: number;
  readonly timeBase?: number;
  /** A sample is the mean over its interval. */
  readonly averages?: boolean;
  /** Nobody has stated the noise: it has to be told from the record. */
  readonly unstated?: boolean;
}

const quiet = 1e-4;
const hum = [
  { frequency: 50, amplitude: 2e-3 },
  { frequency: 100, amplitude: 5e-4 },
];

/** Standard deviation of the scale of each of a colour sensor's three filters, relative, whatever else there is. */
export const colourScale = 3e-3;

/** The columns of the table, in their order. */
export const disturbances = {
  white: { white: 1e-3 },
  '1/f': { white: quiet, slow: 5e-4 },
  '1/f, no dark record': { white: quiet, slow: 5e-4, unstated: true },
  hum: { white: quiet, lines: hum },
  'hum, no dark record': { white: quiet, lines: hum, unstated: true },
  '10 bit': { white: 1e-6, bits: 10 },
  '12 bit': { white: 1e-6, bits: 12 },
  '16 bit': { white: 1e-6, bits: 16 },
  offset: { white: quiet, offset: 1e-3 },
  drift: { white: quiet, drift: 1e-3 },
  jitter: { white: quiet, jitter: 0.01, timeBase: 1e-4, unstated: true },
  averaging: { white: quiet, averages: true },
} as const satisfies Readonly<Record<string, Instrument>>;

export type DisturbanceName = keyof typeof disturbances;

/** What the dark wiring would show, for a signal of a size and a record of a length. */
export function darkOf(
  { slow = 0, lines = [], drift = 0 }: Instrument,
  size: number,
  length: number,
): DarkNoise {
  return {
    ...noDarkNoise,
    slow: (slow * size) ** 2,
    lines: lines.map(({ frequency, amplitude }) => ({ frequency, amplitude: amplitude * size })),
    drift: (drift * size) / length,
  };
}
