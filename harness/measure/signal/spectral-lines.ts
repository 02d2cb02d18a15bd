import type { NoiseFloor } from './noise-floor.ts';
import type { PowerSpectrum } from './power-spectrum.ts';
import { mainLobe } from './window-function.ts';

/** A line of a spectrum: a sine in the record. */
export interface SpectralLine {
  /** Hz. */
  readonly frequency: number;
  /** Peak amplitude, in the record's unit. */
  readonly amplitude: number;
}

/** The chance that noise alone makes one bin pass for a line. */
const logFalseAlarm = 22;
/** Side lobes of the window and rounding of single-precision samples, relative to the strongest bin's power. */
const leakage = 1e-9;

/**
 * The lines of a spectrum that stand out of its noise, in order of frequency. The lowest line that can be told from
 * the record's own drift lies five bins above zero.
 *
 * Amplitude: root of the power summed over the main lobe, less the floor; so a frequency between two bins, or one
 * that wanders over a few bins, costs nothing. Frequency: the centre of that power.
 */
export function spectralLines(spectrum: PowerSpectrum, floor: NoiseFloor): SpectralLine[] {
  const { power, step, segments, window } = spectrum;
  const half = mainLobe[window];
  const ratio = noiseRatio(segments);
  const strongest = largestFrom(power, half);
  if (strongest === 0) return [];
  const least = strongest * leakage;
  const peaks = peaksAbove(power, floor, ratio, least, half);
  const lines: SpectralLine[] = [];
  for (let p = 0, block = 0; p < peaks.length; p++) {
    const peak = peaks[p]!;
    while (peak >= floor.ends[block]!) block++;
    const below = p === 0 ? 1 : valley(power, peaks[p - 1]!, peak);
    const above = p === peaks.length - 1 ? power.length : valley(power, peak, peaks[p + 1]!);
    const level = floor.levels[block]!;
    const line = lobe(power, peak, below, above, half, level, Math.max(least, level * ratio));
    if (line.power > 0) {
      lines.push({ frequency: line.centre * step, amplitude: Math.sqrt(line.power) });
    }
  }
  return lines;
}

// One loop a function: several long loops in one are compiled anew for each of them.

function largestFrom(power: Float64Array, first: number): number {
  let largest = 0;
  for (let k = first; k < power.length; k++) if (power[k]! > largest) largest = power[k]!;
  return largest;
}

function peaksAbove(
  power: Float64Array,
  { ends, levels }: NoiseFloor,
  ratio: number,
  least: number,
  half: number,
): number[] {
  const peaks: number[] = [];
  for (let block = 0, first = half + 1; block < ends.length; block++) {
    const end = ends[block]!;
    addPeaks(peaks, power, first, end, Math.max(least, levels[block]! * ratio), half - 1);
    first = Math.max(first, end);
  }
  return peaks;
}

function addPeaks(
  peaks: number[],
  power: Float64Array,
  first: number,
  end: number,
  threshold: number,
  reach: number,
): void {
  for (let k = first; k < end; k++) {
    if (power[k]! > threshold && isPeak(power, k, reach)) peaks.push(k);
  }
}

/** Bins below the lowest line, whose power may outweigh the lines, and by how much it may. */
const slowest = 4;
const slowPart = 0.75;

/**
 * The index of the strongest line, or -1: also where more power than a line's lies below the lowest line, for then the
 * record holds too few periods of what flickers most, and the lines are only its harmonics.
 */
export function strongestLine(
  lines: readonly SpectralLine[],
  { power }: Pick<PowerSpectrum, 'power'>,
): number {
  let best = -1;
  for (let k = 0; k < lines.length; k++) {
    if (best < 0 || lines[k]!.amplitude > lines[best]!.amplitude) best = k;
  }
  let slow = 0;
  for (let k = 1; k <= slowest && k < power.length; k++) slow += power[k]!;
  return best >= 0 && slow > slowPart * lines[best]!.amplitude ** 2 ? -1 : best;
}

/** How far above the floor averaged noise reaches with the chance e^-22: t - 1 - ln t = 22/segments (Chernoff). */
export function noiseRatio(segments: number): number {
  const wanted = logFalseAlarm / segments;
  let t = 1 + Math.sqrt(2 * wanted) + wanted;
  for (let k = 0; k < 20; k++) t -= (t - 1 - Math.log(t) - wanted) / (1 - 1 / t);
  return t;
}

function isPeak(power: Float64Array, at: number, reach: number): boolean {
  const value = power[at]!;
  for (let d = 1; d <= reach; d++) {
    if (power[at - d]! >= value) return false;
    if (at + d < power.length && power[at + d]! > value) return false;
  }
  return true;
}

function valley(power: Float64Array, from: number, to: number): number {
  let lowest = from;
  for (let k = from; k <= to; k++) if (power[k]! < power[lowest]!) lowest = k;
  return lowest;
}

function lobe(
  power: Float64Array,
  peak: number,
  below: number,
  above: number,
  half: number,
  level: number,
  threshold: number,
): { power: number; centre: number } {
  let first = Math.max(below, peak - half);
  let last = Math.min(above - 1, peak + half);
  // A line that wandered during the record is wider than the window's lobe.
  while (first > below && power[first - 1]! > threshold) first--;
  while (last < above - 1 && power[last + 1]! > threshold) last++;
  let sum = 0;
  let moment = 0;
  for (let k = first; k <= last; k++) {
    const value = power[k]! - level;
    sum += value;
    moment += value * (k - peak);
  }
  return { power: sum, centre: peak + moment / sum };
}
