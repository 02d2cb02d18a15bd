import { describe, expect, it } from 'vitest';
import { CallWatch, lookEvery } from '../../harness/workflow/lanes/call-watch.ts';

/** Looks at one call after another; how many looks it takes until it counts as spinning, null where it never does. */
function looks(calls: readonly (number | null)[], gap = lookEvery, processor = lookEvery) {
  const watch = new CallWatch();
  const at = calls.findIndex((call, k) =>
    watch.spins({ call, at: k * gap, processor: k * processor }),
  );
  return at < 0 ? null : at;
}

const same = new Array<number>(100).fill(7);

describe('firmware counts as spinning', () => {
  it('after more than a second in one call', () => {
    expect(looks(same)).toBe(11);
  });

  it('not while it comes back, or is not called', () => {
    expect(looks(same.map((_, k) => Math.floor(k / 10)))).toBe(null);
    expect(looks(same.map((_, k) => (k % 10 === 0 ? null : 7)))).toBe(null);
    expect(looks(same.map(() => null))).toBe(null);
  });

  it('not when the machine was stopped for an hour in the middle of a call', () => {
    expect(looks([7, 7], 3_600_000)).toBe(null);
    expect(looks([7, 7, 7, 8], 3_600_000)).toBe(null);
  });

  it('not while the machine gives it no processor, and later where it gives it little', () => {
    expect(looks(same, lookEvery, 0)).toBe(null);
    expect(looks(same, lookEvery, lookEvery / 10)).toBe(51);
  });
});
