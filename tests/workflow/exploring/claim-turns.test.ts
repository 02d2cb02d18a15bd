import { describe, expect, it } from 'vitest';
import { ClaimTurns } from '../../../harness/workflow/exploring/claim-turns.ts';
import { readRunInputs } from '../../../harness/workflow/inputs/run-inputs.ts';

describe('the claims between sequences', () => {
  it('come by what they cost: one condition of each, the cheapest first', async () => {
    const { lamp, rig, plans } = readRunInputs(
      {
        paths: ['specs/fading/longest-fades.spec.yaml', 'specs/fading/dali-fade-times.spec.yaml'],
        lamp: 'specs/lamps/alcove-6.lamp.yaml',
        tags: [],
      },
      process.cwd(),
    );
    const faults = [{ fault: 'fade-table-offset', size: 1 }];
    const tried = { lamp, rig, lampSeed: 1, faults };
    for (const specs of [plans, plans.toReversed()]) {
      const turns = new ClaimTurns(specs, tried, { seed: 1, share: 0, of: 1 });
      const broken = await turns.next(new AbortController().signal);
      expect(broken?.spec).toBe('dali-fade-times');
    }
  });
});
