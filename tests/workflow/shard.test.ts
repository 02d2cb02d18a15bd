import fc from 'fast-check';
import { expect, it } from 'vitest';
import { unmetNeed } from '../../harness/plan/unmet-need.ts';
import { simulatedCost } from '../../harness/run/engine/expected-cost.ts';
import { readRunInputs } from '../../harness/workflow/inputs/run-inputs.ts';
import { shardOf } from '../../harness/workflow/inputs/shard.ts';

const { plans, lamp, rig } = readRunInputs({ paths: ['specs'], tags: [] }, process.cwd());

const costs = new Map(
  plans.map(({ spec, needs, conditions, repeat }) => {
    const once = conditions.map((condition) => simulatedCost({ condition, lamp }));
    const cost = unmetNeed(needs, lamp) === null ? repeat * once.reduce((a, b) => a + b, 0) : 0;
    return [spec, cost];
  }),
);

it('gives each claim of the library to one part, and no part much more than its share', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 12 }), (of) => {
      const parts = Array.from({ length: of }, (_, k) =>
        shardOf(plans, { number: k + 1, of }, { lamp, rig }),
      );
      const claims = parts.flatMap((part) => part.plans.map(({ spec }) => spec));
      expect(claims.toSorted()).toEqual(plans.map(({ spec }) => spec).toSorted());
      for (const { shard } of parts) expect(shard.whole.length).toBe(plans.length);
      const loads = parts.map((part) =>
        part.plans.reduce((sum, { spec }) => sum + (costs.get(spec) ?? 0), 0),
      );
      // Longest first comes within a third of the best that is possible (Graham 1969: 4/3 - 1/(3m)).
      const all = [...costs.values()];
      const best = Math.max(all.reduce((a, b) => a + b, 0) / of, ...all);
      expect(Math.max(...loads)).toBeLessThanOrEqual(best * (4 / 3));
    }),
    { numRuns: 12 },
  );
});
