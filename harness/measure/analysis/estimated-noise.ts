import type { DarkLine, DarkNoise } from '../dark-noise.ts';
import { slowNoisePower } from '../signal/slow-noise-power.ts';
import type { SpectralLine } from '../signal/spectral-lines.ts';
import type { Waveform } from '../waveform.ts';
import { analysisOf } from './analysis.ts';
import { quietNoise } from './noise.ts';
import { lengthOf } from './waveform-part.ts';

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
const pickupPart = 0.005;
/** Samples below which a spectrum says nothing about slow noise. */
const fewest = 64;

/** From a stretch in which nothing was commanded to change. */
export function estimatedNoise(steady: Waveform): EstimatedNoise {
  if (lengthOf(steady) < fewest)
    return { white: quietNoise(steady), dark: { slow: 0, lines: [], drift: 0 } };
  const { noise, spectrum, lines, statistics } = analysisOf(steady);
  const largest = pickupPart * Math.abs(statistics.mean);
  return {
    white: Math.min(noise, quietNoise(steady)),
    dark: {
      slow: slowNoisePower(spectrum, lines, noise),
      lines: pickupIn(lines, largest),
      drift: 0,
    },
  };
}

/** The lines at multiples of a mains frequency, none larger than `largest`. */
function pickupIn(lines: readonly SpectralLine[], largest: number): readonly DarkLine[] {
  return lines
    .filter(({ frequency }) => isOfMains(frequency))
    .map(({ frequency, amplitude }) => ({ frequency, amplitude: Math.min(amplitude, largest) }))
    .filter(({ amplitude }) => amplitude > 0);
}

function isOfMains(frequency: number): boolean {
  return mains.some((own) => {
    const order = Math.round(frequency / own);
    return (
      order >= 1 &&
      order <= harmonics &&
      Math.abs(frequency - order * own) <= gridPart * own * order
    );
  });
}
