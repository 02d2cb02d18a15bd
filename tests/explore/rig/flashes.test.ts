import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { mostFlashes } from '../../../harness/explore/rig/flashes.ts';

const step = 1e-3;

/** Square light for 3 s. */
function square(hertz: number, low: number, high: number): number[] {
  return Array.from({ length: 3 / step }, (_, k) =>
    Math.floor(2 * hertz * k * step + 1e-9) % 2 === 0 ? high : low,
  );
}

// WCAG 2.2, definition of a general flash: opposing changes of 10 % of full light or more, the darker end below 80 %.
describe('the most flashes within a second', () => {
  it.each([
    ['1 Hz', square(1, 0, 1), 1],
    ['2 Hz', square(2, 0, 1), 2],
    ['4 Hz', square(4, 0, 1), 4],
    ['10 Hz between 70 % and 81 %', square(10, 0.7, 0.81), 10],
    ['10 Hz between 70 % and 79 %: too small a change', square(10, 0.7, 0.79), 0],
    ['10 Hz between 81 % and 100 %: bright all the time', square(10, 0.81, 1), 0],
  ])('of %s', (_, light, flashes) => {
    expect(mostFlashes({ light, step, full: 1 })).toBe(flashes);
  });

  it('of light that goes up slowly is none', () => {
    const light = Array.from({ length: 3000 }, (_, k) => k / 3000);
    expect(mostFlashes({ light, step, full: 1 })).toBe(0);
  });

  it('of sine light is its frequency', () => {
    const light = Array.from(
      { length: 3000 },
      (_, k) => 0.5 - 0.5 * Math.cos(2 * Math.PI * 5e-3 * k),
    );
    expect(mostFlashes({ light, step, full: 1 })).toBe(5);
  });

  it('does not depend on how bright the lamp is', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 2, maxLength: 400 }),
        (light) => {
          const dim = light.map((value) => value / 8);
          expect(mostFlashes({ light: dim, step: 0.02, full: 0.125 })).toBe(
            mostFlashes({ light, step: 0.02, full: 1 }),
          );
        },
      ),
    );
  });
});
