import { describe, expect, it } from 'vitest';
import { drawn } from '../sampled.ts';

const members = ['a', 'b', 'c', 'd', 'e', 'f'];
const seeds = Array.from({ length: 60 }, (_, k) => `seed ${k}`);

describe('a part of a campaign', () => {
  it('has so many members, each once, in their own order, the same for the same seed', () => {
    for (const seed of seeds) {
      const part = drawn(members, 2, seed);
      expect(new Set(part).size).toBe(2);
      expect(part).toEqual(members.filter((member) => part.includes(member)));
      expect(drawn(members, 2, seed)).toEqual(part);
    }
  });

  it('leaves no member out for ever, and none in', () => {
    const parts = seeds.map((seed) => drawn(members, 2, seed));
    for (const member of members) {
      const times = parts.filter((part) => part.includes(member)).length;
      // A third of 60, and more than 3 standard deviations about it.
      expect(times, member).toBeGreaterThan(8);
      expect(times, member).toBeLessThan(32);
    }
  });

  it('is the whole where there are no more', () => {
    expect(drawn(members, 9, 'any')).toEqual(members);
  });
});
