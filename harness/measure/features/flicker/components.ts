import type { Analysis } from '../../analysis/analysis.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { indexAt, valueAt } from '../../signal/samples.ts';
import { noiseRatio, type SpectralLine } from '../../signal/spectral-lines.ts';
import { mainLobe } from '../../signal/window-function.ts';
import { blindCode } from './blind-code.ts';
import type { LitRecord } from './lit-record.ts';
import { leastPassed } from './passed-share.ts';

/** A Fourier component of the light that the record shows. */
export interface Component {
  /** Hz. */
  readonly frequency: number;
  /** Standard uncertainty of the frequency by noise and by the place between two bins, Hz. */
  readonly deviation: number;
  /** Relative to the mean. */
  readonly amplitude: number;
  /** 0 for a lone tone; what several, which the record does not tell apart, may have beyond its amplitude, relative to it. */
  readonly merged: number;
  /** The amplitude less what may have folded down from above half the sampling rate. */
  readonly least: number;
  /** The amplitude, had averaging and bandwidth taken from it what they may have taken. */
  readonly most: number;
}

/** The components that a record shows, in order of frequency: slow sines by their fit, the others by their lines. */
export function componentsOf({ waveform, analysis }: LitRecord): Component[] {
  const { lines, slow, spectrum } = analysis;
  const mean = meanOf(analysis);
  const folded = foldedAmplitude({ waveform, analysis });
  const taken = hidesStructure({ waveform, analysis }) ? lobeBins : 0;
  const component = (
    { frequency, amplitude, spread = 0 }: SpectralLine,
    bins: number,
  ): Component => ({
    frequency,
    deviation: Math.hypot(bins * spectrum.step, spread),
    merged: Math.min(strongestPair, spread / spectrum.step / unresolved),
    amplitude: amplitude / mean,
    least: Math.max(0, amplitude / mean - folded),
    most:
      ((1 + lobePart) * Math.sqrt(amplitude ** 2 + taken * levelAt(frequency, analysis))) /
      mean /
      leastPassed(waveform, frequency),
  });
  return [
    ...slow.lines.map((line) => component(line, slowDeviation)),
    ...lines.map((line) => component(line, placeOf(line, analysis))),
  ].sort((a, b) => a.frequency - b.frequency);
}

/** The spectrum's noise is so many times that of the record's quietest stretch where it is no noise but course. */
const beyondNoise = 3;

/**
 * Does what lies between the lines come from the light's own course, seldom pulses say, whose own lines stand too close to be
 * told apart? Then it may be all tones, and as many of them as there is room for.
 */
export function hidesStructure({ waveform, analysis: { floor } }: LitRecord): boolean {
  return floor.rms > beyondNoise * quietNoise(waveform);
}

/** Bins of a line's lobe that noise is taken off. */
const lobeBins = 9;

/** Noise between the lines at a frequency, power a bin. */
function levelAt(frequency: number, { floor, spectrum }: Analysis): number {
  const bin = frequency / spectrum.step;
  const block = floor.ends.findIndex((end) => bin < end);
  return valueAt(floor.levels, Math.max(0, block));
}

/** Part of a tone's amplitude that may lie beyond its line's lobe (computed: 4e-5 at most). */
const lobePart = 6e-5;

/** Part of the sampling rate above which components are close to what folds down. */
const top = 0.4;

/**
 * The largest amplitude, relative to the mean, that a component may have that folded down from above half the sampling
 * rate, were samples points: that of the components right below it.
 */
export function foldedAmplitude({ waveform, analysis }: LitRecord): number {
  let most = 0;
  for (const { frequency, amplitude } of analysis.lines)
    if (frequency > top * waveform.rate && amplitude > most) most = amplitude;
  return most / meanOf(analysis);
}

/** What rounding may hide of a component beside what it shows, relative to the mean. */
export function blindShare({ waveform, analysis }: LitRecord): number {
  return blindCode(waveform, analysis) / meanOf(analysis);
}

/** What amplitudes are relative to, in the record's unit. */
export function meanOf({ slow, spectrum }: Analysis): number {
  return slow.lines.length > 0 ? slow.mean : spectrum.mean;
}

/** A line of this spread, in bins, may be two tones each twice as strong; of more, tones that nearly cancel. */
const unresolved = 0.4;
const strongestPair = 3;
/** Of a slow sine's frequency by the fit, bins. */
const slowDeviation = 0.02;
/** Of a clean line's centre, bins (computed: a hundredth at most). */
const cleanDeviation = 0.005;

/**
 * Standard deviation of a line's centre in bins: noise of level L under a line of power P moves the centre of its lobe by
 * √(2 L/P) where it beats with the line, and by √60 L/P (nine bins' distances squared) alone (computed).
 */
function placeOf({ frequency, amplitude }: SpectralLine, analysis: Analysis): number {
  const ratio = levelAt(frequency, analysis) / amplitude ** 2;
  const { segments } = analysis.spectrum;
  return cleanDeviation + Math.sqrt((2 * ratio + 60 * ratio * ratio) / segments);
}

/** One-sided 95 % of the normal distribution. */
const quantile = 1.645;
/**
 * Part of a tone's power in its highest bin, Blackman-Harris window: 0.499 on a bin, 0.412 between two (computed from the
 * window's coefficients); the middle.
 */
const peakShare = 0.455;
/** Trials a bin where the slow sines are fitted. */
const fineness = 4;
/** No component of light, which is never negative, has more: that of needle pulses. */
const utmost = 2;

interface Band {
  /** Hz. */
  readonly from: number;
  readonly to: number;
}

/**
 * Calls `see` with 95 % bounds of the components that the light may have in a band where the record shows none, relative to
 * its mean: what noise, resolution, rounding and averaging may hide.
 */
export function hiddenOf(
  record: LitRecord,
  band: Band,
  see: (frequency: number, amplitude: number) => void,
): void {
  const { waveform, analysis } = record;
  const mean = meanOf(analysis);
  const blind = blindCode(waveform, analysis);
  const hidden = (frequency: number, amplitude: number): void => {
    const passed = leastPassed(waveform, frequency);
    see(frequency, Math.min(utmost, (amplitude + blind) / mean / passed));
  };
  slowBounds(record, band, hidden);
  fastBounds(record, band, hidden);
}

/** Slower light is no flicker to the practices (3 Hz to 70 Hz is what they call photosensitive; from memory), Hz. */
const slowest = 3;
/** What a fit shows below it counts when it is so many standard deviations above the noise: of many looks, chance shows 3 in some. */
const shows = 4.5;

/** From 3 Hz on what noise may hide counts, below it only what is seen. */
function slowBounds(
  { analysis: { slow, spectrum } }: LitRecord,
  { from, to }: Band,
  see: (frequency: number, amplitude: number) => void,
): void {
  const last = Math.min(to, slow.end);
  for (let f = from; f <= last; f += spectrum.step / fineness) {
    const { amplitude, standard } = slow.at(f);
    if (f >= slowest || amplitude > shows * standard) see(f, amplitude + quantile * standard);
  }
}

/**
 * A tone whose power in a bin is t, in noise of power L, makes it √p ≥ √t + Re n (triangle inequality) with Re n normal of
 * variance L/2, over s segments L/(2 s): so t ≤ (√p + 1.645 √(L/2s))² in 95 %. With many segments the noise itself can be
 * taken off: p = t + L scatters by √((L² + 2 L t)/s) (non-central chi-square, textbook). The smaller bound counts. A bin
 * that stands out without being a line's may be all tone.
 */
function fastBounds(
  { analysis: { spectrum, floor, lines } }: LitRecord,
  { from, to }: Band,
  see: (frequency: number, amplitude: number) => void,
): void {
  const { power, step, segments, window } = spectrum;
  const half = mainLobe[window];
  const threshold = noiseRatio(segments);
  const last = Math.min(power.length - 1, Math.floor(to / step));
  const first = Math.max(half + 1, Math.ceil(Math.max(from, slowest) / step));
  for (let k = first, block = 0, line = 0; k <= last; k++) {
    while (k >= indexAt(floor.ends, block)) block++;
    while (line < lines.length && (lines[line]?.frequency ?? 0) < (k - half) * step) line++;
    const level = valueAt(floor.levels, block);
    const found = valueAt(power, k);
    const stands = found > threshold * level;
    if (stands && Math.abs((lines[line]?.frequency ?? Infinity) / step - k) <= half) continue;
    const tone = stands ? found : largestTone(found, level, segments);
    see(k * step, Math.sqrt(tone / peakShare));
  }
}

function largestTone(found: number, level: number, segments: number): number {
  const beside = (Math.sqrt(found) + quantile * Math.sqrt(level / 2 / segments)) ** 2;
  const above = Math.max(0, found - level);
  const w = (quantile ** 2 / segments) * level;
  return Math.min(beside, above + w + Math.sqrt(w * (2 * above + w + level)));
}
