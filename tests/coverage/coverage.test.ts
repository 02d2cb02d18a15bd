import { describe, expect, it } from 'vitest';
import { findMetric } from '../../harness/measure/metrics.ts';
import { sampled } from '../sampled.ts';
import { type DisturbanceName, disturbances } from './disturbances.ts';
import { scenes } from './scenes.ts';
import { tally } from './tally.ts';

/** A part of the coverage table that takes seconds; `npm run coverage-table` makes the whole of it. */
const part: readonly (readonly [scene: string, kind: DisturbanceName])[] = [
  ['level-ratio', 'white'],
  ['level-ratio', '1/f'],
  ['level-ratio', 'offset'],
  ['level-error', '12 bit'],
  ['hysteresis', 'hum'],
  ['level-drift', '12 bit'],
  ['regulation', '1/f'],
  ['regulation', '10 bit'],
  ['channel-ratio-drift', 'white'],
  ['fade-duration', '1/f'],
  ['fade-duration', '12 bit'],
  ['arrival-spread', '10 bit'],
  ['fade-overshoot', '16 bit'],
  ['largest-visible-step within a fade', 'white'],
  ['fade-undershoot', 'drift'],
  ['uv-shift', 'white'],
  ['input-power', 'averaging'],
  ['processor-load', 'averaging'],
  ['mean-current', 'drift'],
  ['time-outside-model', 'white'],
  ['model-excursion', 'white'],
  ['svm', 'averaging'],
  ['camera-band-contrast', '16 bit'],
];
const runs = 60;

describe(`over ${runs} simulated measurements`, () => {
  it.each(sampled(part, 6))('U of %s holds the truth under %s', (scene, kind) => {
    const [metric, make] = [findMetric(scene.split(' ')[0] ?? ''), scenes[scene]];
    if (!metric || !make) throw new Error(`no scene ${scene}`);
    const { measured, covered, above } = tally(metric, make, disturbances[kind], runs);
    expect(measured).toBe(runs);
    // 90 % less what 60 measurements scatter about it (binomial, 2 standard deviations).
    expect(covered).toBeGreaterThanOrEqual(0.82);
    // A false pass is made of truths above value + U: at most half of what is not held, and its scatter.
    expect(above).toBeLessThanOrEqual(0.1);
  });

  it('can fail: noise that nobody is told of is not held', () => {
    const [metric, make] = [findMetric('level-ratio'), scenes['level-ratio']];
    if (!metric || !make) throw new Error('no scene');
    const silent = { white: 1e-6, offset: 0, bits: 8 } as const;
    const told = tally(metric, make, silent, runs);
    expect(told.covered).toBeGreaterThan(0.82);
    const hidden = tally(metric, shifted(make), silent, runs);
    expect(hidden.covered).toBeLessThan(0.5);
  });
});

/** The same scene with light that no instrument error accounts for. */
function shifted(make: (typeof scenes)[string]): (typeof scenes)[string] {
  return (dice) => {
    const scene = make(dice);
    const sources = scene.sources.map((source) => ({
      ...source,
      value: (at: number) => source.value(at) + 0.05 * source.size,
    }));
    return { ...scene, sources };
  };
}
