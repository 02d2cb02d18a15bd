import { analysisOf } from '../measure/analysis/analysis.ts';
import type { Disturbance } from '../measure/analysis/disturb.ts';
import { type DarkNoise, isColoured, noDarkNoise } from '../measure/dark-noise.ts';
import type { CalibrationInput, Metric } from '../measure/metric.ts';
import type { Observation } from '../measure/observation.ts';
import { seedOfFigures } from '../measure/signal/seeded-noise.ts';
import type { KnownInput } from './known-input.ts';
import { isUndithered, nameOf, quantisation } from './rounding-error.ts';

/** The signal itself moves over the steps, so that their rounding differs from sample to sample without any noise. */
function moves({ records }: Observation, { capture, step }: KnownInput): boolean {
  const record = records.find((each) => each.capture === capture);
  if (!record) return false;
  const { lowest, highest } = analysisOf(record.waveform).statistics;
  return highest - lowest > 1.5 * step;
}

/** What differs from sample to sample in one record. */
export interface Scatter {
  readonly input: KnownInput;
  /** White, rms. */
  readonly standard: number;
  /** Step of a rounding that may follow the signal, or 0. */
  readonly rounding: number;
  /** The signal alternates about 0, so that the error of one half of it is that of the other, mirrored. */
  readonly mirrored?: boolean;
  readonly dark: DarkNoise;
}

/** As far below 0 as above it, by this part. */
const evenHalves = 0.2;

function alternates({ records }: Observation, { capture }: KnownInput): boolean {
  const record = records.find((each) => each.capture === capture);
  if (!record) return false;
  const { lowest, highest } = analysisOf(record.waveform).statistics;
  return lowest < 0 && Math.abs(highest + lowest) < evenHalves * highest;
}

/** `inputs`: of the captures that the metric read. */
export function randomErrors(
  metric: Metric,
  inputs: readonly KnownInput[],
  observation: Observation,
): Scatter[] {
  const blind = new Set<CalibrationInput>(metric.blindTo);
  return inputs
    .map((input): Scatter => {
      const dark = blind.has('noise') ? noDarkNoise : input.dark;
      const noise = blind.has('noise') ? 0 : input.noise;
      const coherent = isUndithered(input);
      const counts = !blind.has('quantisation') && (!coherent || moves(observation, input));
      const standard = Math.hypot(noise, counts ? quantisation(input.step) : 0);
      const rounding = counts && coherent ? input.step : 0;
      const mirrored = rounding > 0 && alternates(observation, input);
      // What a metric states of white noise does not hold what is alike from sample to sample.
      const stated = metric.statesNoise && !isColoured(dark);
      return {
        input,
        standard: stated ? 0 : standard,
        rounding,
        dark,
        ...(mirrored && { mirrored }),
      };
    })
    .filter(({ standard, rounding, dark }) => standard > 0 || rounding > 0 || isColoured(dark));
}

export function randomDisturbance(
  scatter: readonly Scatter[],
  input: KnownInput,
  seed: number,
  times: number,
): Disturbance | undefined {
  const found = scatter.find((each) => each.input === input);
  if (!found) return undefined;
  const { standard, rounding, mirrored = false, dark } = found;
  // Each record has its own noise.
  const own = seedOfFigures([seed, ...codesOf(nameOf(input))]);
  return {
    ...(standard > 0 && { noise: { standard: times * standard, seed: own } }),
    ...(isColoured(dark) && { coloured: { ...stronger(dark, times), seed: own } }),
    ...(rounding > 0 && { rounding: anotherGrid(rounding, own, mirrored) }),
  };
}

function stronger({ slow, lines, drift }: DarkNoise, times: number): DarkNoise {
  return {
    slow: times * times * slow,
    lines: lines.map((line) => ({ ...line, amplitude: times * line.amplitude })),
    drift: times * drift,
  };
}

/**
 * Rounding that noise does not spread can go with the light: then its error repeats where the light repeats, and gathers in
 * the light's own lines. Another grid of much the same step makes another error of that kind. How much of the error is
 * of that kind cannot be told, so white noise of the same size counts beside it. Codes lie evenly about 0, and what alternates
 * about it has the same error twice in a period: so does the other grid.
 */
function anotherGrid(
  step: number,
  seed: number,
  mirrored: boolean,
): { step: number; phase: number } {
  const pitch = step * (0.8 + 0.4 * evenly(seed));
  const place = evenly(seed ^ 0x5bd1e995);
  return { step: pitch, phase: pitch * (mirrored ? Math.round(place) / 2 : place) };
}

/** 0 to 1, by golden-section steps through the seeds. */
function evenly(seed: number): number {
  return ((seed >>> 0) * 0.6180339887498949) % 1;
}

function codesOf(text: string): number[] {
  return Array.from(text, (letter) => letter.codePointAt(0) ?? 0);
}
