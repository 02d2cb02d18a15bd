import { describe, expect, it } from 'vitest';
import { stretched, windowed } from '../../harness/measure/analysis/waveform-part.ts';
import type { CalibrationInput, Metric } from '../../harness/measure/metric.ts';
import { findMetric } from '../../harness/measure/metrics.ts';
import type { Waveform } from '../../harness/measure/waveform.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { diceOf } from '../coverage/dice.ts';
import { realise } from '../coverage/realise.ts';
import type { MakeScene } from '../coverage/scene.ts';
import { scenes } from '../coverage/scenes.ts';
import { sampled } from '../sampled.ts';
import { computedInFull } from './full-computation.ts';

/** Every error that is the same for all samples: with none of them 0, what a metric says it is blind to is tried. */
const instrument = { white: 3e-4, offset: 1e-3, timeBase: 2e-5 };
const standardScale = 3e-3;
/** Drawn anew for each computation, so that figures with it cannot be held against each other. */
const drawn: readonly CalibrationInput[] = ['noise', 'quantisation'];

/** By which part U would be larger or smaller were every error computed in full; null where there is no U either way. */
function partOff(metric: Metric, make: MakeScene, seed: number): number | null {
  const dice = diceOf(seed);
  const { observation, calibration } = realise(metric, make(dice), instrument, dice);
  const inputs = calibration.map((input) => ({
    ...input,
    standardScale: input.standardScale || standardScale,
  }));
  const assessed = (tried: Metric) => assess(tried, observation, inputs, 2);
  const all = assessed(metric);
  const saving = assessed({ ...metric, blindTo: [...(metric.blindTo ?? []), ...drawn] });
  const full = assessed(computedInFull(metric));
  expect(full.outcome).toMatchObject(
    saving.outcome.measured
      ? { measured: true, value: saving.outcome.value }
      : { measured: false, reason: saving.outcome.reason },
  );
  if (!('expanded' in all && 'expanded' in saving && 'expanded' in full)) return null;
  // Nothing is uncertain of what is counted.
  if (all.expanded === 0) return full.expanded;
  const square = all.expanded ** 2 + full.expanded ** 2 - saving.expanded ** 2;
  return Math.sqrt(Math.max(0, square)) / all.expanded - 1;
}

/** Of U. */
const allowed = 0.01;

/** Scenes that take seconds. */
const slow = /^(pst-lm|p-inst|band-limited|dither|svm|camera|ieee1789|strongest|phantom|ja10)/;
const all = Object.entries(scenes);
const tried = [
  ...all.filter(([name]) => !slow.test(name)),
  ...sampled(
    all.filter(([name]) => slow.test(name)),
    6,
  ),
];

describe('what the budget saves', () => {
  it.each(tried)(
    'leaves U of %s within a hundredth of that of the full computation',
    (name, make) => {
      const metric = findMetric(name.split(' ')[0] ?? '');
      if (!metric) throw new Error(`no metric for ${name}`);
      for (const seed of slow.test(name) ? [11] : [11, 27])
        expect(Math.abs(partOff(metric, make, seed) ?? 0)).toBeLessThan(allowed);
    },
  );

  it.each<[string, CalibrationInput]>([
    ['mean-current', 'scale'],
    ['level-ratio', 'offset'],
    ['switching-frequency', 'time-base'],
  ])('catches a %s that says it is blind to the %s', (id, input) => {
    const [metric, make] = [findMetric(id), scenes[id]];
    if (!metric || !make) throw new Error(`no scene for ${id}`);
    const lying = { ...metric, blindTo: [...(metric.blindTo ?? []), input] };
    expect(partOff(lying, make, 11)).toBeGreaterThan(allowed);
  });
});

describe('a record with another sampling interval', () => {
  const samples = Float64Array.from({ length: 1000 }, (_, k) => k);
  const record: Waveform = { samples, rate: 1000, start: 2, unit: 'A', clipped: 0 };

  it('has the samples in a window that it had, at other instants', () => {
    for (const stretch of [1 - 1e-4, 1 + 1e-4, 1.1]) {
      const slower = stretched(record, stretch);
      expect(slower.rate).toBeCloseTo(1000 / stretch, 9);
      const [own, other] = [windowed(record, 2.25, 2.75), windowed(slower, 2.25, 2.75)];
      expect(other.samples).toEqual(own.samples);
      expect(other.samples.byteOffset).toBe(own.samples.byteOffset);
      expect(other.start).toBeCloseTo(2 + 0.25 * stretch, 9);
      // A window of the window.
      const inner = windowed(other, 2.5, 2.6);
      expect(inner.samples).toEqual(windowed(record, 2.5, 2.6).samples);
      expect(inner.start).toBeCloseTo(2 + 0.5 * stretch, 9);
    }
  });
});
