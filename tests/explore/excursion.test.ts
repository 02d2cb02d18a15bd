import { describe, expect, it } from 'vitest';
import { firstExcursion } from '../../harness/explore/excursion.ts';
import type { ModelStory } from '../../harness/model/model-lamp.ts';

const step = 1e-3;
/** Half of full light, give or take a hundredth. */
const half: ModelStory = {
  levelAt: () => ({ low: 0.49, high: 0.51 }),
  whyWide: () => null,
  restAt: () => null,
  leadAt: () => 4,
  answers: [],
  end: null as never,
};

function excursionOf(change: (means: Float32Array) => void) {
  const means = new Float32Array(400).fill(0.5);
  change(means);
  return firstExcursion({ channel: 'warm', from: 2, step, means }, half, {
    shortest: 2e-3,
    grain: 1e-4,
  });
}

describe('light held against the model', () => {
  it('is sound where it stays inside', () => {
    expect(excursionOf(() => {})).toBeNull();
    expect(excursionOf((means) => means.fill(0.5099, 100, 200))).toBeNull();
  });

  it('is found outside from two stretches on, wherever they lie', () => {
    for (const at of [0, 1, 7, 8, 9, 250, 398]) {
      const found = excursionOf((means) => means.fill(0, at, at + 2));
      expect(found, `at ${at}`).toMatchObject({ channel: 'warm', found: 0, low: 0.49, lead: 4 });
      expect(found?.from).toBeCloseTo(2 + at * step, 9);
      expect(found?.to).toBeCloseTo(2 + (at + 2) * step, 9);
    }
  });

  it('may be cut by a flank in one stretch', () => {
    expect(excursionOf((means) => means.fill(0, 100, 101))).toBeNull();
  });

  it('names the instant at which it is worst', () => {
    const found = excursionOf((means) => {
      means.fill(0.6, 100, 110);
      means[104] = 0.9;
    });
    expect(found?.worstAt).toBeCloseTo(2 + 104.5 * step, 9);
    expect(found?.found).toBeCloseTo(0.9, 6);
  });
});
