import type { DarkNoise } from '../dark-noise.ts';
import { deviates } from '../signal/deviates.ts';
import { valueAt } from '../signal/samples.ts';
import { addSlowNoise } from '../signal/slow-noise.ts';
import type { Waveform } from '../waveform.ts';

/** Dark noise, and what it is drawn from. */
export interface ColouredNoise extends DarkNoise {
  readonly seed: number;
}

/** A record with one realisation of dark noise added: lines at a phase of their own, noise that falls with frequency, drift. */
export function colouredWaveform(waveform: Waveform, noise: ColouredNoise): Waveform {
  const samples = Float64Array.from(waveform.samples);
  if (noise.slow > 0) addSlowNoise(samples, noise.slow, noise.seed);
  for (const [index, { frequency, amplitude }] of noise.lines.entries())
    addLine(samples, amplitude, frequency / waveform.rate, evenly(noise.seed, index));
  if (noise.drift > 0) addDrift(samples, (noise.drift * normal(noise.seed)) / waveform.rate);
  return { ...waveform, samples };
}

/** `frequency` in cycles per sample, `phase` in turns. */
function addLine(samples: Float64Array, amplitude: number, frequency: number, phase: number): void {
  for (let k = 0; k < samples.length; k++)
    samples[k] = valueAt(samples, k) + amplitude * Math.sin(2 * Math.PI * (frequency * k + phase));
}

/** Drift is seen from the middle of the record: its mean is the zero's own uncertainty. */
function addDrift(samples: Float64Array, slope: number): void {
  const middle = (samples.length - 1) / 2;
  for (let k = 0; k < samples.length; k++) samples[k] = valueAt(samples, k) + slope * (k - middle);
}

/** 0 to 1, by golden-section steps through seeds and places. */
function evenly(seed: number, place: number): number {
  return ((seed >>> 0) * 0.6180339887498949 + (place + 1) * 0.7548776662466927) % 1;
}

/** One deviate of a seed. */
function normal(seed: number): number {
  const [drawn = 0] = deviates(1, seed ^ 0x2c1b3c6d, 0);
  return drawn;
}
