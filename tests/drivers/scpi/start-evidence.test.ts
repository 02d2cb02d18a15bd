import { describe, expect, it } from 'vitest';
import { recordStart } from '../../../drivers/scpi/start-evidence.ts';

/** Armed at 10 s, said to run 4 ms later, a record of 1 s, looked for every 2 ms. */
const healthy = { armed: 10, notBegun: 10, begun: 10.004, notComplete: 11.001, complete: 11.003 };

/** Start and its standard uncertainty; both NaN where there is none. */
function startOf(...given: Parameters<typeof recordStart>) {
  const found = recordStart(...given);
  return 'start' in found ? found : { start: Number.NaN, standardStart: Number.NaN };
}

describe('when a record began', () => {
  it('is between what the status and the length of the record leave', () => {
    const { start, standardStart } = startOf(healthy, 1, 0);
    // 10.001 to 10.003: a rectangle of 2 ms (JCGM 100:2008, 4.3.7).
    expect(start).toBeCloseTo(10.002, 9);
    expect(standardStart).toBeCloseTo(1e-3 / Math.sqrt(3), 9);
  });

  it('is known less after a look that came late, and no error', () => {
    // A machine that stood still for 50 ms between two looks.
    const { start, standardStart } = startOf({ ...healthy, complete: 11.053 }, 1, 0);
    expect(Math.abs(start - 10.002)).toBeLessThanOrEqual(Math.sqrt(3) * standardStart + 1e-9);
  });

  it('is anywhere that the order and the length leave, where the status lied a little', () => {
    const late = { ...healthy, notComplete: 11.031, complete: 11.033 };
    const { start, standardStart } = startOf(late, 1, 0);
    expect(start).toBeCloseTo(10.0165, 9);
    expect(standardStart).toBeCloseTo(0.0165 / Math.sqrt(3), 9);
  });

  it.each([
    ['its trigger came 60 ms late, and it did not say so', 0.06, 0, 'late'],
    ['it is 60 ms slow to say that it is complete, as its profile says', 0.06, 0.06, undefined],
  ])('where %s', (_, by, lag, kind) => {
    const evidence = { ...healthy, notComplete: 11.001 + by, complete: 11.003 + by };
    const found = recordStart(evidence, 1, lag);
    expect('kind' in found ? found.kind : undefined).toBe(kind);
  });

  it('is never: it was complete before it can have lasted', () => {
    expect(recordStart({ ...healthy, complete: 10.99 }, 1, 0)).toMatchObject({ kind: 'stale' });
  });
});
