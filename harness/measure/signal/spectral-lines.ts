import type { NoiseFloor } from './noise-floor.ts';
import type { PowerSpectrum } from './power-spectrum.ts';
import { indexAt, valueAt } from './samples.ts';
import { mainLobe } from './window-function.ts';

/** A line of a spectrum: a sine in the record. */
export interface SpectralLine {
  /** Hz. */
  readonly frequency: number;
  /** Peak amplitude, in the record's unit. */
  readonly amplitude: number;
  /** By how much it is wider than a lone steady tone, rms, in the unit of the frequency: several tones, or one that wanders. */
  readonly spread?: number;
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
  const strongest = largestFrom(power, half);
  if (strongest === 0) return [];
  const peaks = peaksAbove(spectrum, floor, strongest * leakage, noiseRatio(segments));
  return peaks.flatMap((peak, index) => {
    const [before, after] = [peaks[index - 1], peaks[index + 1]];
    // Below the first peak may stand the flank of what is too slow for a line.
    const below = valley(power, before?.at ?? 1, peak.at);
    const above = after ? valley(power, peak.at, after.at) : power.length;
    const line = lobe(power, peak, { below, above }, half);
    if (!(line.power > 0)) return [];
    const found = { frequency: line.centre * step, amplitude: Math.sqrt(line.power) };
    return line.spread > 0 ? { ...found, spread: line.spread * step } : found;
  });
}

/** A bin that stands out. */
interface Peak {
  readonly at: number;
  /** Noise around it, power per bin. */
  readonly level: number;
  /** What stands out there. */
  readonly threshold: number;
}

// One loop a function: several long loops in one are compiled anew for each of them.

function largestFrom(power: Float64Array, first: number): number {
  let largest = 0;
  for (let k = first; k < power.length; k++)
    if (valueAt(power, k) > largest) largest = valueAt(power, k);
  return largest;
}

function peaksAbove(
  { power, window }: PowerSpectrum,
  { ends, levels }: NoiseFloor,
  least: number,
  ratio: number,
): Peak[] {
  const half = mainLobe[window];
  const peaks: Peak[] = [];
  for (let block = 0, first = half + 1; block < ends.length; block++) {
    const [end, level] = [indexAt(ends, block), valueAt(levels, block)];
    const threshold = Math.max(least, level * ratio);
    for (const at of peaksBetween(power, { first, end }, threshold, half - 1)) {
      peaks.push({ at, level, threshold });
    }
    first = Math.max(first, end);
  }
  return peaks;
}

function peaksBetween(
  power: Float64Array,
  { first, end }: { readonly first: number; readonly end: number },
  threshold: number,
  reach: number,
): number[] {
  const peaks: number[] = [];
  for (let k = first; k < end; k++) {
    if (valueAt(power, k) > threshold && isPeak(power, k, reach)) peaks.push(k);
  }
  return peaks;
}

/** Bins below the lowest line, whose power may outweigh the lines, and by how much it may. */
const slowest = 4;
const slowPart = 0.75;

/** Lines of this part of the strongest one's amplitude are as strong: harmonics of a train of flashes all are. */
const equal = 0.9;

/**
 * The strongest line, the slowest of equals, if there is one: not where more power than a line's lies below the lowest line, for then the
 * record holds too few periods of what flickers most, and the lines are only its harmonics.
 */
export function strongestLine(
  lines: readonly SpectralLine[],
  { power }: Pick<PowerSpectrum, 'power'>,
): SpectralLine | undefined {
  const most = lines.reduce((largest, { amplitude }) => Math.max(largest, amplitude), 0);
  const strongest = lines.find(({ amplitude }) => amplitude >= equal * most);
  let slow = 0;
  for (let k = 1; k <= slowest && k < power.length; k++) slow += valueAt(power, k);
  return strongest && slow > slowPart * strongest.amplitude ** 2 ? undefined : strongest;
}

/** How far above the floor averaged noise reaches with the chance e^-22: t - 1 - ln t = 22/segments (Chernoff). */
export function noiseRatio(segments: number): number {
  const wanted = logFalseAlarm / segments;
  let t = 1 + Math.sqrt(2 * wanted) + wanted;
  for (let k = 0; k < 20; k++) t -= (t - 1 - Math.log(t) - wanted) / (1 - 1 / t);
  return t;
}

function isPeak(power: Float64Array, at: number, reach: number): boolean {
  const value = valueAt(power, at);
  for (let d = 1; d <= reach; d++) {
    if (valueAt(power, at - d) >= value) return false;
    if (at + d < power.length && valueAt(power, at + d) > value) return false;
  }
  return true;
}

function valley(power: Float64Array, from: number, to: number): number {
  let lowest = from;
  for (let k = from; k <= to; k++) if (valueAt(power, k) < valueAt(power, lowest)) lowest = k;
  return lowest;
}

/** Power of a line above the floor, and its centre in bins; the line lies between the valleys on either side of its peak. */
function lobe(
  power: Float64Array,
  { at, level, threshold }: Peak,
  { below, above }: { readonly below: number; readonly above: number },
  half: number,
): { power: number; centre: number; spread: number } {
  // A line that wandered during the record is wider than the window's lobe; what is higher than its peak is another's.
  const own = (k: number): boolean => {
    const value = valueAt(power, k);
    return (Math.abs(k - at) <= half || value > threshold) && value <= valueAt(power, at);
  };
  let [first, last] = [at, at];
  while (first > below && own(first - 1)) first--;
  while (last < above - 1 && own(last + 1)) last++;
  let [sum, moment, square] = [0, 0, 0];
  for (let k = first; k <= last; k++) {
    const value = valueAt(power, k) - level;
    sum += value;
    moment += value * (k - at);
    square += value * (k - at) ** 2;
  }
  const centre = moment / sum;
  return {
    power: sum,
    centre: at + centre,
    spread: excess(square / sum - centre ** 2, level / sum),
  };
}

/** Second moment of a lone tone's lobe, bins², wherever it lies: ∫w'² / (4π² ∫w²) of the Blackman-Harris window (computed). */
const loneTone = 0.6193;
/** What rounding and side lobes may add to it. */
const roundness = 0.02;

/**
 * Root of what a lobe's second moment has beyond that of a lone tone and what noise (`level` relative to the line's power)
 * explains: Σd⁴ = 708 over nine bins, alone and beating with the lobe; three standard deviations.
 */
function excess(moment: number, level: number): number {
  const noise = 3 * Math.sqrt(708 * level * level + 2.4 * level);
  return Math.sqrt(Math.max(0, moment - loneTone - roundness - noise));
}
