import { describe, expect, it } from 'vitest';
import { deviates } from '../../../harness/measure/signal/deviates.ts';
import { seededNoise, seedOfFigures } from '../../../harness/measure/signal/seeded-noise.ts';

/**
 * A stored run is judged again with the same errors: a seed has to give the same stream for ever. The values were computed by a
 * second program, from the description of the generators alone.
 */
describe('the stream of a seed stays what it was', () => {
  it.each([
    [0, [-0.751054413, 0.103886461, 1.15813526, 0.512040922, 0.694984888, 0.751861816]],
    [1, [0.667315836, 1.487140905, 0.929219776, 1.747526061, 0.532889272, 0.120583523]],
    [7, [-0.757008473, 1.486302293, -0.366482785, 0.143717932, 1.054210228, -0.04175454]],
    [-3, [-1.719983867, 1.012661335, 0.636818132, 0.053314539, 1.141524025, 0.455726569]],
    [123456789, [0.017771159, 0.151788086, -0.974576339, 0.47556926, -1.541503837, 0.674699414]],
  ])('one after another: %s', (seed, expected) => {
    const next = seededNoise(seed);
    for (const value of expected) expect(next()).toBeCloseTo(value, 8);
  });

  it.each([
    [1, [-0.850200403, 1.352981425, 0.169083329, -1.450637267], 0.793839477],
    [-77, [-0.883649692, -0.384510439, 0.89696536, -0.243585587], 0.493952554],
    [123456789, [1.091502363, -1.330580772, -1.117494622, 1.574832099], 0.564588785],
  ])('by index: %s', (seed, expected, farOff) => {
    for (const [k, value] of deviates(4, seed, 0).entries())
      expect(value).toBeCloseTo(expected[k] ?? 9, 8);
    expect(deviates(1, seed, 1_000_001)[0]).toBeCloseTo(farOff, 8);
  });

  it.each([
    [13_590, -4.188922043],
    [31_466, 4.660316494],
    [36_847, 4.456922923],
    [62_914, -4.704070067],
    [85_860, 4.501160158],
    [158_591, -4.666641366],
  ])('in the outermost cells: index %s', (index, expected) => {
    expect(deviates(1, 1, index)[0]).toBeCloseTo(expected, 8);
  });

  it('the seed of figures', () => {
    expect(seedOfFigures([])).toBe(625_341_585);
    expect(seedOfFigures([1])).toBe(124_486_461);
    expect(seedOfFigures([1, 2.5])).toBe(-344_467_218);
    expect(seedOfFigures([2.5, 1])).toBe(1_051_318_978);
    expect(seedOfFigures([0.1])).toBe(1_815_712_220);
  });
});

it('deviates one after another have mean 0, variance 1, and no memory', () => {
  const next = seededNoise(5);
  const count = 4000;
  const values = Array.from({ length: count }, next);
  const mean = (of: (value: number, k: number) => number) =>
    values.reduce((sum, value, k) => sum + of(value, k), 0) / count;
  expect(Math.abs(mean((value) => value))).toBeLessThan(4 / Math.sqrt(count));
  expect(Math.abs(mean((value) => value ** 2) - 1)).toBeLessThan(4 * Math.sqrt(2 / count));
  expect(Math.abs(mean((value, k) => value * (values[k - 1] ?? 0)))).toBeLessThan(
    4 / Math.sqrt(count),
  );
});
