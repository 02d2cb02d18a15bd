import type { SpectralLine } from '../signal/spectral-lines.ts';
import type { Waveform } from '../waveform.ts';
import { analysisOf } from './analysis.ts';
import { isOfMains, pickupPart } from './estimated-noise.ts';
import { duration } from './waveform-part.ts';

/** A line up to this many times one of the dark wiring may be that one with another a little beside it. */
const margin = 1.5;
/** How far the mains may have moved since the dark wiring was recorded, relative (EN 50160; from memory). */
const moved = 0.01;

/** Is a line of a lit record no better than what the dark wiring records? Then it cannot be called the lamp's. */
export function isOfDarkWiring(
  { frequency, amplitude }: SpectralLine,
  waveform: Waveform,
): boolean {
  return (waveform.dark?.lines ?? []).some(
    (line) =>
      amplitude <= margin * line.amplitude &&
      Math.abs(frequency - line.frequency) <= moved * line.frequency + 1 / duration(waveform),
  );
}

/**
 * May a line be the mains, for all that is known? Only a record of the dark wiring tells a weak line at a multiple of 50 or 60 Hz from
 * the lamp's.
 */
export function mayBePickup({ frequency, amplitude }: SpectralLine, waveform: Waveform): boolean {
  if (waveform.dark) return false;
  const { mean } = analysisOf(waveform).statistics;
  return isOfMains(frequency) && amplitude <= margin * pickupPart * Math.abs(mean);
}

/** The lines of a record in order of frequency, without those that the dark wiring explains. */
export function lampLines(waveform: Waveform): readonly SpectralLine[] {
  return analysisOf(waveform).lines.filter((line) => !isOfDarkWiring(line, waveform));
}
