import { describe, expect, it } from 'vitest';
import { type TracedClaim, traceOfRun, traceRequirements } from '../../harness/record/traced.ts';
import type { Verdict } from '../../harness/verdict/verdict.ts';
import { sampleCondition, sampleRecord, sampleSpec } from './sample-record.ts';

function claimOf(spec: string, traces: readonly string[], verdict: Verdict | null): TracedClaim {
  const own = sampleSpec(spec, [sampleCondition()], { verdict: verdict ?? 'pass' });
  const run = { id: 'a', started: '2026-03-01T00:00:00Z' };
  const result = verdict === null ? null : { spec: own, run, isOlder: false, isChanged: false };
  return { spec, claim: own.claim, file: own.file, traces, result, elsewhere: null };
}

const names = (list: readonly { readonly spec: string }[]) => list.map(({ spec }) => spec);

describe('requirements and claims', () => {
  const requirements = ['R-1', 'R-2', 'R-3', 'R-4'].map((id) => ({ id, text: '' }));
  const traced = traceRequirements(requirements, [
    claimOf('good', ['R-1', 'R-2'], 'pass'),
    claimOf('bad', ['R-1'], 'fail'),
    claimOf('later', ['R-2', 'R-3'], null),
    claimOf('skipped', ['R-9'], 'not run'),
    claimOf('free', [], 'pass'),
  ]);

  it('have the worst verdict of their claims; one that never ran proves nothing', () => {
    expect(traced.requirements.map(({ verdict }) => verdict)).toEqual([
      'fail',
      'not run',
      null,
      null,
    ]);
  });

  it('are told where something is missing between them', () => {
    expect(traced.uncovered.map(({ id }) => id)).toEqual(['R-4']);
    expect(names(traced.unclaimed)).toEqual(['free']);
    expect(names(traced.neverRan)).toEqual(['later', 'skipped']);
    expect(traced.unknown).toEqual([{ spec: 'skipped', id: 'R-9' }]);
  });

  it('of one run are those that its claims name, in the order of their numbers', () => {
    const specs = [
      sampleSpec('b', [sampleCondition()], { traces: ['R-10', 'R-2'] }),
      sampleSpec('a', [], { traces: ['R-2'], verdict: 'not run', reason: 'no such link' }),
      sampleSpec('c', [sampleCondition()], { traces: [] }),
    ];
    const own = traceOfRun(sampleRecord({ specs }));
    expect(own.requirements.map(({ id, claims }) => [id, names(claims)])).toEqual([
      ['R-2', ['b', 'a']],
      ['R-10', ['b']],
    ]);
    expect(own.uncovered).toEqual([]);
    expect(names(own.unclaimed)).toEqual(['c']);
    expect(names(own.neverRan)).toEqual(['a']);
  });
});
