import { expect, it } from 'vitest';
import { OwnLateness } from '../../../harness/run/condition/own-lateness.ts';

/** Looks `lates.length` times, each so much too late, s. */
async function watched(lates: readonly number[]): Promise<OwnLateness> {
  let now = 0;
  const stop = new AbortController();
  const left = [...lates];
  const clock = {
    kind: 'real' as const,
    now: () => now,
    waitUntil: async (instant: number) => {
      const late = left.shift();
      if (late === undefined) stop.abort();
      now = instant + (late ?? 0);
    },
  };
  const lateness = new OwnLateness(clock);
  await lateness.watch(stop.signal);
  return lateness;
}

it('a computer that is on time is no excuse', async () => {
  const lateness = await watched(Array.from({ length: 100 }, () => 2e-3));
  expect(lateness.doubt(5)).toBeNull();
});

it('one that stood still for a second is', async () => {
  const lateness = await watched([0, 0, 1, 0, 0]);
  expect(lateness.doubt(5)).toMatch(/up to 1\.00 s late meanwhile/);
  // Long ago it says nothing.
  const later = await watched([1, ...Array.from({ length: 100 }, () => 0)]);
  expect(later.doubt(4)).toBeNull();
});

it('one that is a little late all the time is', async () => {
  const lateness = await watched(Array.from({ length: 100 }, () => 0.05));
  expect(lateness.doubt(10)).toMatch(/5\.\d\d s in all|4\.\d\d s in all/);
});
