import { expect, it } from 'vitest';
import { measured } from '../../harness/measure/outcome.ts';
import { knownInputs } from '../../harness/verdict/known-input.ts';
import { randomErrors } from '../../harness/verdict/random-errors.ts';
import { calibration, metricOf, observe } from './assessed.ts';

const metric = metricOf(() => measured(1));

/** What rounding to whole units adds to light between two levels. */
function scatterOf(lowest: number, highest: number) {
  const samples = Array.from({ length: 200 }, (_, k) => (k % 2 ? lowest : highest));
  const observation = observe([{ of: 'other', samples: [1, 1, 1, 1] }, { samples }]);
  const inputs = knownInputs(metric, observation, [calibration({ step: 1 })]);
  if ('reason' in inputs) throw new Error(inputs.reason);
  return randomErrors(metric, inputs, observation)[0];
}

it('codes err alike on both sides of 0 where the signal alternates evenly about it', () => {
  expect(scatterOf(-5, 5)).toMatchObject({ rounding: 1, mirrored: true });
  // Within a fifth of the higher side.
  expect(scatterOf(-5, 6)).toMatchObject({ rounding: 1, mirrored: true });
  expect(scatterOf(-6, 5.1)).toMatchObject({ rounding: 1, mirrored: true });
});

it('they do not where it is uneven, or all on one side', () => {
  for (const [low, high] of [
    [-5, 7],
    [-7, 5],
    [0, 5],
    [2, 9],
  ] as const) {
    const found = scatterOf(low, high);
    expect(found).toMatchObject({ rounding: 1 });
    expect(found, `${low} to ${high}`).not.toHaveProperty('mirrored');
  }
});
