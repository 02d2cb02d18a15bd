import { expect, it } from 'vitest';
import { noDarkNoise } from '../../harness/measure/dark-noise.ts';
import { findMetric } from '../../harness/measure/metrics.ts';
import type { KnownInput } from '../../harness/verdict/known-input.ts';
import { systematicErrors } from '../../harness/verdict/systematic-errors.ts';

const input: KnownInput = {
  capture: 'light-low' as KnownInput['capture'],
  signal: 'light',
  of: 'light',
  standardScale: 0.005,
  budget: { 'spectral-mismatch': 0.01, linearity: 0.002, drift: 0 },
  fullScale: 5000,
  standardOffset: 0,
  noise: 0,
  dark: noDarkNoise,
  timeBase: 0,
  step: 0,
  sharedScale: 'scope ch1',
  notes: {},
};

function errorsOf(id: string) {
  const metric = findMetric(id);
  if (!metric) throw new Error(`no metric ${id}`);
  return systematicErrors(metric, [input]).map((error) => [
    error.name,
    error.disturbance(input, 1),
  ]);
}

it('names each line of the budget of a scale, a zero one not at all', () => {
  expect(errorsOf('mean-current')).toEqual([
    ['scale of scope ch1', { gain: 1.005 }],
    ['spectral mismatch of scope ch1', { gain: 1.01 }],
    ['linearity of scope ch1', { bow: { error: 0.002, fullScale: 5000 } }],
  ]);
});

it('lets a ratio be blind to all of them but the linearity', () => {
  expect(errorsOf('level-ratio')).toEqual([
    ['linearity of scope ch1', { bow: { error: 0.002, fullScale: 5000 } }],
  ]);
});
