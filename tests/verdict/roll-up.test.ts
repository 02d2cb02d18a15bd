import { expect, it } from 'vitest';
import { rollUp, severity, standsOpen, verdictOfRun } from '../../harness/verdict/verdict.ts';

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

it('leaves what does not apply to the lamp out of the verdict of a run, which needs something that does', () => {
  const [pass, beside, fail] = (['pass', 'not applicable', 'fail'] as const).map((verdict) => ({
    verdict,
  }));
  expect(verdictOfRun([pass!, beside!])).toBe('pass');
  expect(verdictOfRun([beside!, fail!])).toBe('fail');
  expect(verdictOfRun([beside!, beside!])).toBe('not run');
});

it('leaves nothing open where a claim passed or does not apply', () => {
  const open = severity.filter((verdict) => standsOpen({ verdict }));
  expect(open).toEqual(['error', 'fail', 'inconclusive', 'not run']);
});
