import jstatModule from 'jstat';
import { describe, expect, it } from 'vitest';
import { normalBeyond, normalTail } from '../../harness/measure/signal/normal-tail.ts';
import { coverageOfLooks, coverageOfSingle, mostAgain } from '../../harness/verdict/looks.ts';

const { normal, studentt } = jstatModule.jStat;
const counts = Array.from({ length: mostAgain }, (_, k) => k + 1);

describe('the tail of the normal distribution', () => {
  it('is that of the statistics library, and of printed tables', () => {
    for (const z of [0.5, 1, 1.645, 2, 3, 4]) {
      expect(normalTail(z) / (1 - normal.cdf(z, 0, 1))).toBeCloseTo(1, 6);
      expect(normalBeyond(normalTail(z))).toBeCloseTo(z, 8);
    }
    // Abramowitz and Stegun, table 26.1 (from memory).
    expect(normalTail(2)).toBeCloseTo(0.022750132, 8);
    expect(normalTail(3)).toBeCloseTo(0.001349898, 8);
  });
});

describe('coverage of several looks', () => {
  it('shares the risk of one look out among all tests that are made', () => {
    for (const again of counts) {
      const k = coverageOfLooks({ coverageFactor: 2, again });
      const tests = 2 * again + 1;
      expect(tests * (1 - normal.cdf(k, 0, 1))).toBeCloseTo(1 - normal.cdf(2, 0, 1), 6);
    }
  });

  it('allows of a single measurement for a scatter that is told from eight pieces', () => {
    const student = (tail: number) => studentt.inv(1 - tail, 7);
    const tail = 1 - normal.cdf(2, 0, 1);
    for (const again of counts) {
      const wanted = (2 * student(tail / (2 * again + 1))) / student(tail);
      expect(coverageOfSingle({ coverageFactor: 2, again }) / wanted).toBeCloseTo(1, 2);
    }
  });

  it('grows with their number, and with the factor of the rig file', () => {
    const factors = counts.map((again) => coverageOfLooks({ coverageFactor: 2, again }));
    expect(factors).toEqual([...factors].sort());
    expect(coverageOfLooks({ coverageFactor: 3, again: 1 })).toBeGreaterThan(3);
  });
});
