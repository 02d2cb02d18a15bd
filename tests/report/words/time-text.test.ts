import { expect, test } from 'vitest';
import { timeText } from '../../../harness/report/words/value-text.ts';

test.each([
  [0.0123, '12.3 ms'],
  [90, '90 s'],
  [309, '5.15 min'],
  [7200, '2 h'],
  [86_400, '24 h'],
  [50 * 86_400, '50 d'],
])('a time of %s s is told as %s', (seconds, text) => {
  expect(timeText(seconds)).toBe(text);
});
