import { describe, expect, it } from 'vitest';
import { type Candidate, guaranteesFor, holdTo } from '../../../drivers/conformance/conformance.ts';
import type { Kind } from '../../../drivers/conformance/guarantee.ts';

/** The conformance suite as tests: one for each promise. `unproven` lists promises that this driver gives no chance to see. */
export function describeConformance(
  title: string,
  kind: Kind,
  candidate: () => Candidate,
  unproven: readonly string[] = [],
): void {
  describe(title, () => {
    it.each(guaranteesFor(kind))('$guarantee', async (guarantee) => {
      const result = await holdTo(guarantee, candidate());
      const expected = unproven.includes(guarantee.guarantee) ? 'unproven' : 'kept';
      expect(result, result.detail).toMatchObject({ outcome: expected });
    });
  });
}
