import { decimated } from '../../analysis/decimated.ts';
import { relativeFigure } from '../../analysis/relative-figure.ts';
import { memoiseSamples } from '../../signal/memoise.ts';
import { type Sampled, type Samples, sampleAt, valueAt } from '../../signal/samples.ts';
import { flickerSensation } from './flicker-sensation.ts';
import { flickerBand, flickerMemory, lightWeighting } from './flickermeter-blocks.ts';
import { shortTermSeverity } from './short-term-severity.ts';

/**
 * Scale of the sensation, on the squared fluctuation relative to the mean.
 * `light`: the constant of the light flickermeter of IEC TR 61547-1 (from memory). With it the five light waveforms of its
 * clause A.3 give 1.000 to 1.003 in an analogue computation (secondary source, values from memory).
 * `voltage`: an incandescent lamp at 0.25 % sinusoidal voltage change, 8.8 Hz, gives a largest sensation of 1, as the
 * voltage flickermeter does (computed). PstLM reads 6.0 % higher with it.
 */
export const sensationScale = { light: 1.1016e6, voltage: 1.23835e6 } as const;

/** The filters run at 4 kHz or a little above where the record allows: see `realisation`. */
const filterRate = 4000;
/**
 * Largest relative deviation of these filters from the analogue ones, in PstLM of a sine of 0.3 Hz to 90 Hz, at `filterRate`:
 * 1 % at 90 Hz, below 0.1 % up to 40 Hz (computed from the responses). It goes with the inverse square of the rate, as the
 * bilinear transform's warping does.
 */
const realisation = 0.01;
/** Light above this does not reach the sensation, Hz; the useful band is 0.3 Hz to 90 Hz. */
const band = 100;
/** The sensation moves in 0.3 s: so many values a second tell its quantiles. */
const valuesPerSecond = 250;

/**
 * PstLM of a record of light (IEC TR 61547-1 Annex A): light / mean, high pass, low pass, weighting without lamp,
 * square, 0.3 s memory, quantiles. Output: pure number. Every step but the division by the mean is proportional.
 *
 * @param mean of the light, in the record's unit; @param scale of the sensation
 */
export function lightSeverity(waveform: Sampled, mean: number, scale: number): number {
  const root = relativeFigure(waveform, mean, (light, its) => figuresOf(light, its).severity);
  return root * Math.sqrt(scale);
}

/** The largest instantaneous flicker sensation P_inst of a record, by the same steps but the quantiles. Pure number. */
export function largestSensation(waveform: Sampled, mean: number, scale: number): number {
  const root = relativeFigure(waveform, mean, (light, its) => figuresOf(light, its).largest);
  return root * root * scale;
}

/** How far PstLM of a record may lie from that of analogue filters, relative: the half-width of a rectangle. */
export function realisedWithin(rate: number): number {
  return realisation * (filterRate / (rate / decimation(rate))) ** 2;
}

function decimation(rate: number): number {
  return Math.max(1, Math.floor(rate / filterRate));
}

/** Both in proportion to the fluctuation, for a scale of 1. */
interface Figures {
  readonly severity: number;
  /** Square root of the largest sensation. */
  readonly largest: number;
}

function figuresOf(waveform: Sampled, mean: number): Figures {
  const factor = decimation(waveform.rate);
  return figuresOfSlow(decimated(waveform, factor, band), waveform.rate / factor, mean);
}

const figuresOfSlow = memoiseSamples((light, rate: number, mean: number): Figures => {
  const weighting = [...flickerBand('230V', rate), ...lightWeighting(rate)];
  const sensation = flickerSensation(relative(light, mean), rate, weighting, flickerMemory(rate));
  const apart = Math.max(1, Math.floor(rate / valuesPerSecond));
  const largest = Math.sqrt(highest(sensation));
  return { severity: shortTermSeverity(everyNth(sensation, apart)), largest };
});

// One loop a function: several long loops in one are compiled anew for each of them.

function relative(light: Samples, mean: number): Float64Array {
  const fluctuation = new Float64Array(light.length);
  for (let k = 0; k < light.length; k++) fluctuation[k] = sampleAt(light, k) / mean - 1;
  return fluctuation;
}

function everyNth(sensation: Float64Array, apart: number): Float64Array {
  const some = new Float64Array(Math.ceil(sensation.length / apart));
  for (let k = 0; k < some.length; k++) some[k] = Math.max(0, valueAt(sensation, k * apart));
  return some;
}

function highest(sensation: Float64Array): number {
  let found = 0;
  for (let k = 0; k < sensation.length; k++) found = Math.max(found, valueAt(sensation, k));
  return found;
}
