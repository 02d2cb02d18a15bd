import { valueAt } from '../../signal/samples.ts';
import type { LitRecord } from './lit-record.ts';

/** PstLM of white noise, by the root of its density (relative², per Hz) times the scale (computed with these filters). */
const ofNoise = 1.38;
/** PstLM of a sine at 8.8 Hz, where least is needed, by its relative amplitude times the root of the scale (computed). */
const ofSine = 0.9036 / 0.004 / Math.sqrt(1.1016e6);

/** What the noise of a record has of PstLM: by what lies between the lines of its spectrum below some ten hertz. */
export function noiseSeverity({ analysis }: LitRecord, scale: number): number {
  const { floor, spectrum } = analysis;
  // Half of a bin's power, the square of an amplitude, is the variance in so many hertz.
  const density = valueAt(floor.levels, 0) / (2 * spectrum.step) / spectrum.mean ** 2;
  return ofNoise * Math.sqrt(density * scale);
}

/** The most that a component of a relative amplitude makes of PstLM. */
export function sineSeverity(amplitude: number, scale: number): number {
  return ofSine * amplitude * Math.sqrt(scale);
}
