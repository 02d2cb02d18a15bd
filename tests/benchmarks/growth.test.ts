import { describe, expect, it } from 'vitest';
import { flickerMetrics } from './flicker-metrics.ts';
import { flickering } from './growth-rows.ts';
import { recordLight } from './plant-rows.ts';
import { isMet, median, type Row, ratioOf } from './row.ts';
import { tableJson } from './table.ts';

/** Processor time, which other work on the machine moves less than the clock on the wall; the least of several. */
async function cost(work: () => unknown): Promise<number> {
  let least = Number.POSITIVE_INFINITY;
  for (let run = 0; run < 4; run++) {
    const before = process.cpuUsage();
    await work();
    const { user, system } = process.cpuUsage(before);
    least = Math.min(least, user + system);
  }
  return least;
}

describe('the cost grows with the size and not with its square', { timeout: 120_000 }, () => {
  // Twenty times the size: twenty times the cost in proportion, four hundred times with the square.
  const most = 80;

  it('of flicker metrics with the length of the record', async () => {
    const [short, long] = [flickering(3), flickering(60)];
    const one = await cost(() => flickerMetrics(short.slice(), 20e3));
    const twenty = await cost(() => flickerMetrics(long.slice(), 20e3));
    expect(twenty / one).toBeLessThan(most);
  });

  it('of the simulated lamp with the length of the record', async () => {
    const one = await cost(() => recordLight({ length: 3 }));
    const twenty = await cost(() => recordLight({ length: 60 }));
    expect(twenty / one).toBeLessThan(most);
  });

  it('of the simulated lamp with its channels', async () => {
    const one = await cost(() => recordLight({ length: 20, channels: 1 }));
    const nine = await cost(() => recordLight({ length: 20, channels: 9 }));
    expect(nine / one).toBeLessThan(36);
  });
});

describe('a row of the bench', () => {
  const row: Row = {
    name: 'reading',
    unit: 's',
    figures: [3, 1, 2],
    yardstick: 'a book',
    beside: [8, 4],
    kind: 'speed',
    goal: 3,
  };

  it('is judged by the ratio of the medians', () => {
    expect(median(row.figures)).toBe(2);
    expect(ratioOf(row)).toBe(3);
    expect(isMet(row)).toBe(true);
    expect(isMet({ ...row, goal: 3.1 })).toBe(false);
    expect(ratioOf({ ...row, kind: 'cost' })).toBeCloseTo(1 / 3, 12);
    expect(isMet({ ...row, kind: 'cost', goal: 0.3 })).toBe(false);
    expect(isMet({ ...row, goal: null })).toBe(null);
  });

  it('prints as JSON with median, yardstick, ratio, goal and whether it is met', () => {
    const { rows } = JSON.parse(tableJson([row, { name: 'none', missing: 'install it' }]));
    expect(rows[0]).toEqual({
      name: 'reading',
      median: 2,
      yardstick: 6,
      ratio: 3,
      goal: 3,
      met: true,
    });
    expect(rows[1]).toEqual({ name: 'none', missing: 'install it' });
  });
});
