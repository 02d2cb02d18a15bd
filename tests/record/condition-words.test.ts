import { expect, it } from 'vitest';
import { namesCondition } from '../../harness/record/condition-words.ts';

const key = 'fade-time=2 s, level=-1 %';

it.each([
  ['the key', 'fade-time=2 s, level=-1 %', true],
  ['the words that are printed for it', 'fade time 2 s, level -1 %', true],
  ['one of its values', 'level = -1%', true],
  ['the other sign', 'level=1 %', false],
  ['a value that it has not, beside one that it has', 'fade time 2 s, level 3 %', false],
  ['another name', 'time 2 s', false],
])('a condition is named by %s, or not', (_, text, expected) => {
  expect(namesCondition(text, key)).toBe(expected);
});
