import { largestOfNormals } from './largest-of-normals.ts';

/** A largest value without what noise may have added to it: middle and standard uncertainty (k = 1). */
export interface Freed {
  readonly value: number;
  readonly standard: number;
}

/** Noise that lowers a value where it happens to be the largest, rms: 95 % of it. */
const lowered = 2;
/** The largest of many normals is rarely (1 in 20 or less) more than this beyond its expectation, rms (simulated in the tests). */
const spread = 1;

/**
 * The largest of `count` values that each carry noise of `noise` rms. Where nothing else is there, noise alone makes it so many
 * rms as the largest of `count` normals may be; where something is, noise may have lowered it by two. The value is the middle between both,
 * the uncertainty (k = 2) reaches to either.
 */
export function largestAmongNoise(largest: number, noise: number, count: number): Freed {
  const raised = Math.max(lowered, largestOfNormals(Math.max(2, count)) + spread);
  return {
    value: largest - ((raised - lowered) / 2) * noise,
    standard: ((raised + lowered) / 4) * noise,
  };
}
