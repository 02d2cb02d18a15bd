import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { modulation } from '../../../harness/measure/metrics/flicker/modulation.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { deviates, integrated, observing, pulses, sampled, withNoise } from '../light-of.ts';

/**
 * Records with a modulation in closed form: pulses (high - low) / (high + low), a sine its own depth. No record leads to
 * a figure whose upper end lies below the truth, nor to one whose lower end lies above it.
 */
const rate = 20e3;
const seconds = 0.5;

interface Interval {
  readonly value: number;
  readonly expanded: number;
}

/** Null where the metric refuses. */
function intervalOf(waveform: Waveform): Interval | null {
  const assessed = assess(modulation, observing(modulation, waveform), [], 2);
  if (!('expanded' in assessed)) return null;
  return { value: assessed.outcome.value, expanded: assessed.expanded };
}

function holds(waveform: Waveform, truth: number): void {
  const found = intervalOf(waveform);
  if (!found) return;
  expect(found.value + found.expanded, 'upper end').toBeGreaterThanOrEqual(
    truth * (1 - 1e-6) - 1e-9,
  );
  expect(found.value - found.expanded, 'lower end').toBeLessThanOrEqual(truth * (1 + 1e-6) + 1e-9);
}

const unit = fc.double({ min: 0, max: 1, noNaN: true });
const frequency = fc.integer({ min: 60, max: 4000 });
const train = fc.record({
  frequency,
  duty: fc.double({ min: 0.02, max: 0.98, noNaN: true }),
  low: fc.oneof(fc.constant(0), fc.double({ min: 0, max: 0.8, noNaN: true })),
  phase: unit,
});
const contrast = (low: number): number => (1 - low) / (1 + low);
const runs = { seed: 1, numRuns: 120 };

describe('an interval of the modulation holds the truth', () => {
  test('of pulses that the samples catch at instants', () => {
    fc.assert(
      fc.property(train, ({ frequency: f, duty, low, phase }) => {
        const light = (t: number) => ((t * f + phase) % 1 < duty ? 1 : low);
        holds(sampled(light, rate, seconds), contrast(low));
      }),
      runs,
    );
  });

  test('of pulses that the samples average', () => {
    fc.assert(
      fc.property(train, ({ frequency: f, duty, low, phase }) => {
        const area = pulses(f, duty, low, 1);
        holds(
          integrated((t) => area(t + phase / f), rate, seconds),
          contrast(low),
        );
      }),
      runs,
    );
  });

  test('of a sine, as instants and as means, also where the clock is locked to it', () => {
    const locked = fc.constantFrom(1000, 2000, 2500, 4000);
    fc.assert(
      fc.property(fc.oneof(frequency, locked), unit, unit, (f, depth, phase) => {
        const w = 2 * Math.PI * f;
        const angle = 2 * Math.PI * phase;
        holds(
          sampled((t) => 1 + depth * Math.sin(w * t + angle), rate, seconds),
          depth,
        );
        holds(
          integrated((t) => t - (depth * Math.cos(w * t + angle)) / w, rate, seconds),
          depth,
        );
      }),
      runs,
    );
  });

  test('of a light a few codes high', () => {
    const codes = fc.integer({ min: 20, max: 500 });
    fc.assert(
      fc.property(codes, unit, unit, unit, (height, above, swing, phase) => {
        const depth = 0.02 * swing;
        const light = (t: number) =>
          Math.round((height + above) * (1 + depth * Math.sin(2 * Math.PI * (8.8 * t + phase))));
        holds(sampled(light, rate, seconds, { step: 1 }), depth);
      }),
      runs,
    );
  });

  test('of a dither without a period, and it is not mistaken for noise', () => {
    fc.assert(
      fc.property(train, fc.integer({ min: 1, max: 1e6 }), ({ duty, low }, seed) => {
        const next = deviates(seed);
        // The median of a normal deviate splits any duty; both levels are met in ten thousand samples.
        const threshold = 4 * duty - 2;
        const light = () => (next() < threshold ? 1 : low);
        const found = intervalOf(sampled(light, rate, seconds));
        expect(found?.value).toBeCloseTo(contrast(low), 6);
      }),
      { ...runs, numRuns: 30 },
    );
  });
});

test('of triangles and saws whose corners fall between the samples', () => {
  const triangle = (rise: number) => (x: number) => {
    const at = x % 1;
    return at < rise ? -1 + (2 * at) / rise : 1 - (2 * (at - rise)) / (1 - rise);
  };
  for (const rise of [0.5, 0.3, 0.1])
    for (const samplesAPeriod of [8, 10, 13.33, 20, 40])
      for (let phase = 0; phase < 1; phase += 0.09) {
        const shape = triangle(rise);
        const light = (t: number) => 1 + 0.4 * shape((t * rate) / samplesAPeriod + phase);
        holds(sampled(light, rate, 0.1), 0.4);
      }
});

test('a light within one code states what the code may hide', () => {
  const flat = sampled(() => 65, rate, seconds, { step: 1 });
  const found = intervalOf(flat);
  // Half a code of 65 either way.
  expect(found?.value).toBe(0);
  expect(found?.expanded).toBeGreaterThanOrEqual(0.5 / 65);
});

describe('under noise, known from nothing but the record', () => {
  /** Parts of forty records in which the truth lies above, and below, the interval. */
  function misses(light: (t: number) => number, noise: number, truth: number) {
    let [above, below] = [0, 0];
    for (let seed = 1; seed <= 40; seed++) {
      const found = intervalOf(withNoise(sampled(light, rate, seconds), noise, seed));
      if (!found) continue;
      if (found.value + found.expanded < truth) above++;
      if (found.value - found.expanded > truth) below++;
    }
    return { above: above / 40, below: below / 40 };
  }
  const cases: readonly [string, (t: number) => number, number, number][] = [
    ['pulses', (t) => ((t * 446) % 1 < 0.44 ? 1 : 0.68), 0.002, contrast(0.68)],
    ['fast pulses from dark', (t) => ((t * 1210) % 1 < 0.3 ? 1 : 0), 0.005, 1],
    ['steady light', () => 1, 0.01, 0],
    ...[0.25, 0.5, 1, 2, 3, 5, 20].map((part): [string, (t: number) => number, number, number] => [
      `a sine of ${part} times the noise`,
      (t) => 1 + 0.01 * part * Math.sin(2 * Math.PI * 80 * t),
      0.01,
      0.01 * part,
    ]),
  ];
  for (const [name, light, noise, truth] of cases) {
    test(name, () => {
      const { above, below } = misses(light, noise, truth);
      expect(above + below).toBeLessThanOrEqual(0.1);
    });
  }
});

test('point samples of PWM lose nothing to their edges', () => {
  const waveform = sampled((t) => ((t * 1210) % 1 < 0.3 ? 1 : 0), rate, 1);
  expect(intervalOf(waveform)?.value).toBeCloseTo(1, 9);
});
