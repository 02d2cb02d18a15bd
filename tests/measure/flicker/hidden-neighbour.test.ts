import { expect, test } from 'vitest';
import { dominantFrequency } from '../../../harness/measure/metrics/flicker/dominant-frequency.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { observing, sampled } from '../light-of.ts';

/** A tone with one beside it that is too weak to be a line of its own, for a second: a bin is a hertz. */
function found(frequency: number, apart: number, weak: number, phase: number) {
  const tone = (f: number, t: number, at = 0) => Math.sin(2 * Math.PI * f * t + at);
  const light = sampled(
    (t) => 1 + 0.15 * (tone(frequency, t) + weak * tone(frequency + apart, t, phase)),
    4000,
    1,
  );
  const stated = { standardScale: 0, standardOffset: 0, noise: 0, timeBase: 0, step: 0 };
  const input = { capture: 'light', signal: 'light', of: 'light', ...stated } as const;
  const assessed = assess(dominantFrequency, observing(dominantFrequency, light), [input], 2);
  if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
  return { value: assessed.outcome.value, expanded: assessed.expanded };
}

const phases = Array.from({ length: 12 }, (_, k) => (k * Math.PI) / 6);

test.each([-6, -5, -4, 4, 5, 6])(
  'U holds what a weak tone %f bins beside the strongest does to its frequency',
  (apart) => {
    for (const weak of [0.003, 0.03])
      for (const [k, phase] of phases.entries()) {
        const frequency = 203 + ((k * 0.618) % 1);
        const { value, expanded } = found(frequency, apart, weak, phase);
        expect(Math.abs(value - frequency), `${weak} as strong`).toBeLessThanOrEqual(
          expanded + 2e-6,
        );
      }
  },
);

test('the frequency is that of the top of the lobe, which such a tone moves by less than a hundredth of a bin', () => {
  for (const phase of phases) {
    const { value, expanded } = found(203.46, -3.5, 0.01, phase);
    expect(Math.abs(value - 203.46)).toBeLessThan(0.002);
    expect(expanded).toBeLessThan(0.01);
  }
});

test('beside nothing it costs nothing', () => {
  expect(found(203.46, 4, 0, 0).expanded).toBeLessThan(1e-4);
});
