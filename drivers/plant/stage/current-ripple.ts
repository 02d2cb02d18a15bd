import type { PlantModel } from '../model.ts';
import type { SampleBlock } from '../sample-block.ts';

/**
 * Multiplies samples by what rail ripple (twice the mains frequency) and reference noise make of all currents alike:
 * 1 + feedthrough * ripple * sin(4 pi f t) + noise. The sine is averaged over the sample (`point`: taken at its
 * start); the noise is drawn on a grid of 1 / (2 bandwidth) from the lamp's own seedless sequence, the same for every
 * record of the lamp.
 */
export function multiplyByRipple(
  { samples, t0, dt }: SampleBlock,
  { supply, stage }: Pick<PlantModel, 'supply' | 'stage'>,
  point = false,
): void {
  const frequency = 2 * supply.mainsFrequency;
  const half = point ? 0 : Math.PI * frequency * dt;
  const averaging = half === 0 ? 1 : Math.sin(half) / half;
  const first = point ? t0 : t0 + dt / 2;
  const amplitude = supply.ripple * supply.rippleFeedthrough * averaging;
  if (amplitude !== 0) multiplyBySine({ samples, t0: first, dt }, frequency, amplitude);
  if (stage.noise > 0) {
    const grid = 2 * stage.noiseBandwidth;
    for (let k = 0; k < samples.length; k++) {
      const noise = stage.noise * gridNoise((first + k * dt) * grid);
      samples[k] = (samples[k] ?? 0) * (1 + noise);
    }
  }
}

/** The sine by rotation, so that it costs four multiplications a sample. */
function multiplyBySine(
  { samples, t0, dt }: SampleBlock,
  frequency: number,
  amplitude: number,
): void {
  const angle = 2 * Math.PI * frequency * t0;
  const turn = 2 * Math.PI * frequency * dt;
  const [turnCos, turnSin] = [Math.cos(turn), Math.sin(turn)];
  let cos = amplitude * Math.cos(angle);
  let sin = amplitude * Math.sin(angle);
  for (let k = 0; k < samples.length; k++) {
    samples[k] = (samples[k] ?? 0) * (1 + sin);
    const next = cos * turnCos - sin * turnSin;
    sin = sin * turnCos + cos * turnSin;
    cos = next;
  }
}

/** Noise of unit standard deviation, straight between the points of a grid (whose mean square is 2/3). */
function gridNoise(x: number): number {
  const whole = Math.floor(x);
  const part = x - whole;
  return Math.sqrt(1.5) * ((1 - part) * pointNoise(whole) + part * pointNoise(whole + 1));
}

/** A fixed number for each integer: sum of four uniform ones, scaled to unit variance. */
function pointNoise(index: number): number {
  let sum = 0;
  let h = Math.imul(index ^ (index / 2 ** 32), 0x9e3779b1) | 0;
  for (let i = 0; i < 4; i++) {
    h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
    h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
    h ^= h >>> 16;
    sum += (h >>> 0) / 2 ** 32;
  }
  return (sum - 2) * Math.sqrt(3);
}
