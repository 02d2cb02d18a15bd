import { valueAt } from './samples.ts';

/** A sine of steady frequency in a record: amplitude·cos(2π frequency·k + phase) at sample k. */
export interface Tone {
  /** Cycles a sample. */
  readonly frequency: number;
  readonly amplitude: number;
  readonly phase: number;
}

/** Turns of the frequency's refinement: each takes the error down to that of the window's leakage. */
const turns = 2;

/**
 * The tone near a frequency, by Hann-weighted projections: its frequency from the phase's advance between the two halves of
 * the record, its amplitude and phase from the whole. Other tones must lie more than four periods of a half away.
 */
export function toneNear(values: Float64Array, frequency: number): Tone {
  const half = values.length >> 1;
  const [first, second] = [values.subarray(0, half), values.subarray(half, 2 * half)];
  let exact = frequency;
  for (let turn = 0; turn < turns; turn++) {
    const advance = phaseAt(second, exact) - phaseAt(first, exact) - 2 * Math.PI * exact * half;
    const rest = advance / (2 * Math.PI);
    exact += (rest - Math.round(rest)) / half;
  }
  const { re, im, weight } = projection(values, exact);
  return {
    frequency: exact,
    amplitude: (2 * Math.hypot(re, im)) / weight,
    phase: Math.atan2(im, re),
  };
}

/** Adds a tone times a factor at places `first + apart·k` of its record. */
export function addTone(
  values: Float64Array,
  { frequency, amplitude, phase }: Tone,
  by: number,
  { first, apart }: { readonly first: number; readonly apart: number } = { first: 0, apart: 1 },
): void {
  const turn = 2 * Math.PI * frequency;
  const [c, s] = [Math.cos(turn * apart), Math.sin(turn * apart)];
  let re = by * amplitude * Math.cos(turn * first + phase);
  let im = by * amplitude * Math.sin(turn * first + phase);
  for (let k = 0; k < values.length; k++) {
    values[k] = valueAt(values, k) + re;
    const turned = re * c - im * s;
    im = re * s + im * c;
    re = turned;
  }
}

function phaseAt(values: Float64Array, frequency: number): number {
  const { re, im } = projection(values, frequency);
  return Math.atan2(im, re);
}

interface Projection {
  readonly re: number;
  readonly im: number;
  /** Sum of the weights. */
  readonly weight: number;
}

/**
 * Σ w x exp(-2πi f k) with Hann's weights. From the middle outwards, as the sample before and the one behind it share weight,
 * cosine and sine; these turn by a step a sample.
 */
function projection(values: Float64Array, frequency: number): Projection {
  const count = values.length;
  const half = count >> 1;
  const isOdd = count % 2 === 1;
  const nearest = isOdd ? 1 : 0.5;
  const turn = 2 * Math.PI * frequency;
  const bend = (2 * Math.PI) / count;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const [wc, ws] = [Math.cos(bend), Math.sin(bend)];
  let [cos, sin] = [Math.cos(turn * nearest), Math.sin(turn * nearest)];
  let [wCos, wSin] = [Math.cos(bend * nearest), Math.sin(bend * nearest)];
  let [re, im] = [isOdd ? valueAt(values, half) : 0, 0];
  for (let k = 0; k < half; k++) {
    const before = valueAt(values, half - 1 - k);
    const behind = valueAt(values, count - half + k);
    const weight = 0.5 + 0.5 * wCos;
    re += weight * cos * (before + behind);
    im += weight * sin * (before - behind);
    // No swaps by destructuring: each would make an array a sample until the loop is optimised.
    const turned = cos * c - sin * s;
    sin = cos * s + sin * c;
    cos = turned;
    const bent = wCos * wc - wSin * ws;
    wSin = wCos * ws + wSin * wc;
    wCos = bent;
  }
  const middle = (turn * (count - 1)) / 2;
  const [mc, ms] = [Math.cos(middle), Math.sin(middle)];
  return { re: re * mc + im * ms, im: im * mc - re * ms, weight: count / 2 };
}
