import { describe, expect, it } from 'vitest';
import { noDarkNoise } from '../../harness/measure/dark-noise.ts';
import { measured } from '../../harness/measure/outcome.ts';
import type { KnownInput } from '../../harness/verdict/known-input.ts';
import { randomDisturbance, randomErrors } from '../../harness/verdict/random-errors.ts';
import { isUndithered } from '../../harness/verdict/rounding-error.ts';
import { systematicErrors } from '../../harness/verdict/systematic-errors.ts';
import {
  calibration,
  expandedOf,
  level,
  mean,
  metricOf,
  observe,
  steady,
  waveform,
} from './assessed.ts';

const known = (part: Partial<KnownInput> = {}): KnownInput => ({
  ...calibration(part),
  standardOffset: 0,
  noise: 0,
  dark: noDarkNoise,
  notes: {},
  ...part,
});
const scatterOf = (input: KnownInput, samples: readonly number[]) =>
  randomErrors(level, [input], observe([{ samples }]))[0];

describe('rounding', () => {
  it('is spread by noise of half a step, and none where there are no steps', () => {
    expect(isUndithered({ step: 0.5, noise: 0.25 })).toBe(false);
    expect(isUndithered({ step: 0.5, noise: 0.24 })).toBe(true);
    expect(isUndithered({ step: 0, noise: 0 })).toBe(false);
  });

  it('of a quiet record follows the light once the light moves over more than one and a half steps', () => {
    const quiet = known({ step: 0.5 });
    expect(scatterOf(quiet, [4, 4.75])).toBeUndefined();
    const { standard, rounding } = scatterOf(quiet, [4, 4.8]) ?? {};
    expect(standard).toBeCloseTo(0.5 / Math.sqrt(12), 12);
    expect(rounding).toBe(0.5);
  });

  it('of a noisy record is white', () => {
    const { standard, rounding } = scatterOf(known({ step: 0.5, noise: 0.3 }), [4, 4]) ?? {};
    expect(standard).toBeCloseTo(Math.hypot(0.3, 0.5 / Math.sqrt(12)), 12);
    expect(rounding).toBe(0);
  });

  it('goes by how the light of its own record moves', () => {
    const two = observe([
      { of: 'warm', samples: [4, 9] },
      { of: 'cool', samples: [4, 4] },
    ]);
    const inputs = ['warm', 'cool'].map((of) => known({ of, step: 0.5 }));
    expect(randomErrors(level, inputs, two).map(({ input }) => input.of)).toEqual(['warm']);
  });

  it('of readings that are no record holds for all of them', () => {
    expect(
      randomErrors(level, [known({ signal: 'colour', of: 'lamp', step: 0.5 })], steady),
    ).toEqual([]);
  });

  it('of one input moves that input alone', () => {
    const ratio = metricOf((observation) =>
      measured(mean(waveform(observation, 0).samples) / mean(waveform(observation, 1).samples)),
    );
    const two = observe([
      { of: 'warm', samples: [4, 4] },
      { of: 'cool', samples: [4, 4] },
    ]);
    const inputs = ['warm', 'cool'].map((of) => calibration({ of, step: 0.1 }));
    const relative = 0.1 / Math.sqrt(12) / 4;
    expect(expandedOf(ratio, two, inputs, 1)).toBeCloseTo(relative * Math.SQRT2, 4);
    const errors = systematicErrors(
      ratio,
      inputs.map((input) => known(input)),
    );
    expect(errors.map(({ name }) => name)).toEqual([
      'quantisation of light warm',
      'quantisation of light cool',
    ]);
  });
});

describe('a realisation of the noise', () => {
  const input = known({ step: 0.5, noise: 0.1 });
  const scatter = (part: object) => [
    { input, standard: 0, rounding: 0, dark: noDarkNoise, ...part },
  ];

  it('is none of an input that has none', () => {
    expect(randomDisturbance(scatter({ standard: 1 }), known(), 1, 1)).toBeUndefined();
  });

  it('holds what there is, and nothing else', () => {
    const kinds = (part: object) =>
      Object.keys(randomDisturbance(scatter(part), input, 1, 1) ?? {});
    expect(kinds({ standard: 1 })).toEqual(['noise']);
    expect(kinds({ rounding: 1 })).toEqual(['rounding']);
    expect(kinds({ dark: { slow: 1, lines: [], drift: 0 } })).toEqual(['coloured']);
  });

  it('is stronger in amplitude by as much as asked, so in power by its square', () => {
    const dark = { slow: 2, lines: [{ frequency: 50, amplitude: 3 }], drift: 4 };
    expect(randomDisturbance(scatter({ standard: 1, dark }), input, 1, 3)).toMatchObject({
      noise: { standard: 3 },
      coloured: { slow: 18, lines: [{ frequency: 50, amplitude: 9 }], drift: 12 },
    });
  });

  it('differs from seed to seed and from record to record', () => {
    const warm = known({ of: 'warm' });
    const cool = known({ of: 'cool' });
    const both = [warm, cool].map((each) => ({
      input: each,
      standard: 1,
      rounding: 0,
      dark: noDarkNoise,
    }));
    const seeds = [1, 2].flatMap((seed) =>
      [warm, cool].map((each) => randomDisturbance(both, each, seed, 1)?.noise?.seed),
    );
    expect(new Set(seeds).size).toBe(4);
  });

  it('rounds to grids of 0.8 to 1.2 steps that begin anywhere within a step', () => {
    const grids = Array.from({ length: 500 }, (_, seed) => {
      const rounding = randomDisturbance(scatter({ rounding: 0.5 }), input, seed, 1)?.rounding;
      return rounding ?? { step: 0, phase: 0 };
    });
    const steps = grids.map(({ step }) => step / 0.5);
    const phases = grids.map(({ step, phase }) => phase / step);
    for (const [values, low, high] of [
      [steps, 0.8, 1.2],
      [phases, 0, 1],
    ] as const) {
      const near = 0.03 * (high - low);
      expect(Math.min(...values)).toBeGreaterThanOrEqual(low);
      expect(Math.min(...values)).toBeLessThan(low + near);
      expect(Math.max(...values)).toBeLessThanOrEqual(high);
      expect(Math.max(...values)).toBeGreaterThan(high - near);
      expect(Math.abs(mean(values) - (low + high) / 2)).toBeLessThan(near);
    }
  });
});
