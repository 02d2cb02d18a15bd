import { expect, it } from 'vitest';
import { settledBy } from '../../harness/verdict/settled.ts';

const limits = (lower: number | null, upper: number | null) =>
  settledBy({ lower, upper, target: null, text: '' });

it.each([
  ['far inside', limits(0, 10), 5, 0.4, true],
  ['inside, but the upper limit is near', limits(0, 10), 7, 0.4, false],
  ['inside, but the lower limit is near', limits(0, 10), 3, 0.4, false],
  ['far outside: a failure stands as well', limits(0, 10), 20, 0.4, true],
  ['outside, but near', limits(0, 10), 11, 0.4, false],
  ['one side only', limits(null, 10), -50, 0.4, true],
  ['exactly ten uncertainties away', limits(null, 10), 6, 0.4, false],
])('%s', (_, settled, value, expanded, wanted) => {
  expect(settled(value, expanded)).toBe(wanted);
});
