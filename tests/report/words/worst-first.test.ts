import { expect, test } from 'vitest';
import { whyText } from '../../../harness/report/words/finding-words.ts';
import { findingsWorstFirst, margin } from '../../../harness/report/words/worst-first.ts';
import { condition, finding, shortRecord, spec } from '../sample-record.ts';

const base = {
  metric: 'm',
  title: 'Drift',
  of: 'warm',
  unit: '1',
  shown: '1',
  expanded: 0,
  text: 'at most 1',
};

test('margin is 1 in the middle, 0 on a limit, negative beyond', () => {
  const two = (value: number) => margin(finding({ ...base, value, lower: 2, upper: 6 }));
  expect([4, 2, 6, 3, 8].map(two)).toEqual([1, 0, 0, 0.5, -1]);
  expect(margin(finding({ ...base, value: 5, upper: 10 }))).toBe(0.5);
  expect(margin(finding({ ...base, value: 5, lower: 10 }))).toBe(-0.5);
  expect(margin(finding({ ...base, value: 5 }))).toBe(Number.POSITIVE_INFINITY);
});

test('a failure with little to spare goes before a pass with none', () => {
  const claim = spec('a', 'b', 'c', [
    condition({}, [
      finding({ ...base, of: 'close', value: 0.99, upper: 1 }),
      finding({ ...base, of: 'far', value: 0.1, upper: 1 }),
      finding({ ...base, of: 'bad', value: 1.01, upper: 1, verdict: 'fail' }),
      finding({ ...base, of: 'worse', value: 2, upper: 1, verdict: 'fail' }),
    ]),
  ]);
  expect(findingsWorstFirst(claim).map((placed) => placed.finding.of)).toEqual([
    'worse',
    'bad',
    'close',
    'far',
  ]);
});

test('a reason that begins with the figures is told without them', () => {
  const told = (reason: string | null) => whyText(finding({ ...base, value: 2, reason }));
  expect(told('Drift is 2 ± 1, wanted at most 1: the uncertainty straddles the limit')).toBe(
    'the uncertainty straddles the limit',
  );
  expect(told('Drift is 2 ± 1, wanted at most 1')).toBeNull();
  expect(told('the lamp went dark')).toBe('the lamp went dark');
  expect(told(null)).toBeNull();
});

test('every claim of the sample has its verdict among its parts', () => {
  for (const claim of shortRecord().specs) {
    const worst = findingsWorstFirst(claim)[0];
    if (worst) expect(worst.finding.verdict).toBe(claim.verdict);
  }
});
