import { expect, it } from 'vitest';
import { rollUp, severity } from '../../harness/verdict/verdict.ts';

it('rolls up to the worst part, whatever the order', () => {
  for (const [rank, worst] of severity.entries()) {
    const parts = severity.slice(rank);
    expect(rollUp(parts)).toBe(worst);
    expect(rollUp([...parts].reverse())).toBe(worst);
  }
});

it('calls a whole without parts not run, never passed', () => {
  expect(rollUp([])).toBe('not run');
});
