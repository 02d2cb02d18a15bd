import { type DarkLine, type DarkNoise, noDarkNoise } from '../dark-noise.ts';
import { slowNoisePower } from '../signal/slow-noise-power.ts';
import type { SpectralLine } from '../signal/spectral-lines.ts';
import type { Waveform } from '../waveform.ts';
import { analysisOf } from './analysis.ts';
import { quietNoise } from './noise.ts';
import { duration, lengthOf } from './waveform-part.ts';

/** The noise of an input as its records of a lit lamp show it. */
export interface EstimatedNoise {
  /** White noise of one sample, rms, in the record's unit. */
  readonly white: number;
  /** All that might be the bench's. Whether it is, only a record of the dark wiring can tell. */
  readonly dark: DarkNoise;
}

/** Mains frequencies, Hz (IEC 60038). */
const mains = [50, 60] as const;
/** Harmonics of pickup that are looked for: rectifiers and cores make these (common practice, no source). */
const harmonics = 10;
/** A grid keeps its frequency within this part of it nearly always (EN 50160 allows ±1 %; from memory). */
const gridPart = 0.005;
/**
 * A line no larger than this part of the light may be pickup: what shielded wiring can be trusted to keep below (common
 * practice, no source). What exceeds it is the lamp's, give or take as much.
 */
export const pickupPart = 0.005;
/** Samples below which a spectrum says nothing about slow noise. */
const fewest = 64;

/**
 * From a stretch in which nothing was commanded to change. Of a signal that is never `level`, as mains is not, what changes
 * slowly is the signal itself.
 */
export function estimatedNoise(steady: Waveform, level: boolean): EstimatedNoise {
  if (lengthOf(steady) < fewest) return { white: quietNoise(steady), dark: noDarkNoise };
  const { noise, spectrum, lines, statistics } = analysisOf(steady);
  const { mean, lowest, highest } = statistics;
  const largest = pickupPart * (level ? Math.abs(mean) : (highest - lowest) / 2);
  const unseen = duration(steady) < periodsToTell / mains[0];
  const slow = level ? slowNoisePower(spectrum, lines, noise) : 0;
  const single = Math.min(noise, quietNoise(steady));
  return {
    white: Math.sqrt(Math.max(0, single * single - slowWithinSamples * slow)),
    dark: {
      slow: margin * slow,
      lines: unseen ? [{ frequency: mains[0], amplitude: largest }] : pickupIn(lines, largest),
      drift: 0,
    },
  };
}

/** One record tells the power of slow noise within about a third (simulated). */
const margin = 1.3;
/** What slow noise of power 1 puts into the noise of single samples (computed from its realisations). */
const slowWithinSamples = 1.06;
/** Periods that a line needs to be told from a slope. */
const periodsToTell = 6;

/** The lines at multiples of a mains frequency, none larger than `largest`. */
function pickupIn(lines: readonly SpectralLine[], largest: number): readonly DarkLine[] {
  return lines
    .filter(({ frequency }) => isOfMains(frequency))
    .map(({ frequency, amplitude }) => ({ frequency, amplitude: Math.min(amplitude, largest) }))
    .filter(({ amplitude }) => amplitude > 0);
}

/** Is a frequency (Hz) a low multiple of a mains frequency, as far as a grid keeps it? */
export function isOfMains(frequency: number): boolean {
  return mains.some((own) => {
    const order = Math.round(frequency / own);
    return (
      order >= 1 &&
      order <= harmonics &&
      Math.abs(frequency - order * own) <= gridPart * own * order
    );
  });
}
