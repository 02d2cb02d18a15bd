import { describe, expect, it } from 'vitest';
import { NoiseSource } from '../../../../drivers/plant/sensors/noise-source.ts';

const count = 1_000_000;

function drawn(seed: number, name = 'noise'): Float32Array {
  const out = new Float32Array(count);
  new NoiseSource(seed, name).fill(out, count);
  return out;
}

describe('The sensor noise', () => {
  const noise = drawn(1);
  const moment = (power: number): number =>
    noise.reduce((sum, value) => sum + value ** power, 0) / count;

  it('has the moments of a Gaussian', () => {
    // Standard errors for a million values: 0.001, 0.0014, 0.0039, 0.0098.
    expect(Math.abs(moment(1))).toBeLessThan(0.004);
    expect(Math.abs(moment(2) - 1)).toBeLessThan(0.006);
    expect(Math.abs(moment(3))).toBeLessThan(0.016);
    expect(Math.abs(moment(4) - 3)).toBeLessThan(0.06);
  });

  it('has the tails of a Gaussian out to 3.5 standard deviations', () => {
    const beyond = (limit: number): number =>
      noise.filter((value) => Math.abs(value) > limit).length;
    // Two-sided probabilities of the normal distribution: 0.31731, 0.045500, 0.0026998, 0.00046526.
    expect(beyond(1) / count).toBeCloseTo(0.31731, 2);
    expect(beyond(2) / count).toBeCloseTo(0.0455, 2.7);
    expect(Math.abs(beyond(3) / count / 0.0026998 - 1)).toBeLessThan(0.1);
    expect(Math.abs(beyond(3.5) / count / 0.00046526 - 1)).toBeLessThan(0.25);
  });

  it.each([1, 2, 3, 7, 50, 400, 8192])('is uncorrelated at a lag of %d samples', (lag) => {
    let sum = 0;
    for (let k = 0; k + lag < count; k++) sum += noise[k]! * noise[k + lag]!;
    expect(Math.abs(sum / count)).toBeLessThan(0.004);
  });

  it('is the same for the same seed and name, and another for others', () => {
    expect(Buffer.from(drawn(1).buffer).equals(Buffer.from(noise.buffer))).toBe(true);
    expect(drawn(2)[0]).not.toBe(noise[0]);
    const other = drawn(1, 'other');
    let sum = 0;
    for (let k = 0; k < count; k++) sum += noise[k]! * other[k]!;
    expect(Math.abs(sum / count)).toBeLessThan(0.004);
  });

  it('goes on where it stopped', () => {
    const source = new NoiseSource(1, 'noise');
    const first = new Float32Array(1000);
    source.fill(first, 1000);
    source.fill(first, 1000);
    expect(first[0]).toBe(noise[1000]);
  });
});
