import { describe, expect, it } from 'vitest';
import { controlChart, d2, runsToLimit } from '../../harness/record/control-chart.ts';

/** Flow rates of the worked example in NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (from memory). */
const flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
const steady = [10, 11, 10, 9, 10, 11, 9, 10, 11, 9];

describe('the control chart', () => {
  it('finds the limits of the published example', () => {
    const chart = controlChart(flow, flow.length)!;
    expect(chart.centre).toBeCloseTo(50.81, 10);
    // The handbook rounds d2 to 1.128; the exact value moves the limits by 0.0017.
    expect(Math.abs(chart.upper - 55.8041)).toBeLessThan(0.002);
    expect(Math.abs(chart.lower - 45.8159)).toBeLessThan(0.002);
    expect(chart.signals).toEqual([]);
  });

  it('knows d2 for two values, 1.128 in every table (from memory)', () => {
    expect(d2).toBeCloseTo(1.128, 3);
  });

  it('draws no limits from too few runs', () => {
    expect(controlChart(flow.slice(0, 7))).toBeNull();
    expect(controlChart(flow.slice(0, 8))).not.toBeNull();
  });

  it('names the first point beyond its limits', () => {
    expect(controlChart([...steady, 10, 20, 10])!.signals).toEqual([
      { rule: 'beyond limits', at: 11 },
    ]);
  });

  it('takes its limits from the older half, twenty points at most, so that a drift does not hide itself', () => {
    const base = [...steady, ...steady];
    const drifted = base.map((value) => value + 4);
    const chart = controlChart([...base, ...drifted])!;
    expect(chart.baseline).toBe(20);
    expect(chart.centre).toBe(10);
    expect(controlChart([...base, ...drifted, ...drifted, ...drifted])!.baseline).toBe(20);
  });

  it('sees a small shift by eight points on one side, not by seven', () => {
    const shift = (count: number) => [
      ...steady,
      9,
      ...Array.from({ length: count }, (_, k) => 10.6 + (k % 2) / 10),
    ];
    const rules = (count: number) => controlChart(shift(count))!.signals.map(({ rule }) => rule);
    expect(rules(7)).toEqual([]);
    expect(rules(8)).toEqual(['one side']);
  });

  it('sees six points climbing, not five', () => {
    const climb = (count: number) => [
      ...steady,
      ...Array.from({ length: count - 1 }, (_, k) => 9.2 + k / 10),
    ];
    const rules = (count: number) => controlChart(climb(count))!.signals.map(({ rule }) => rule);
    expect(rules(5)).toEqual([]);
    expect(rules(6)).toEqual(['steady climb']);
  });

  it('is mirrored when the values are', () => {
    const values = [...steady, ...Array.from({ length: 6 }, (_, k) => 9.2 + k / 10), 30];
    const up = controlChart(values)!;
    const down = controlChart(values.map((value) => -value))!;
    expect(down.upper).toBeCloseTo(-up.lower, 12);
    expect(down.signals.map(({ at }) => at)).toEqual(up.signals.map(({ at }) => at));
    expect(down.signals.map(({ rule }) => rule)).toContain('steady fall');
  });

  it('is silent on a lamp that gives one value again and again, and speaks when it does not', () => {
    const same = Array.from({ length: 20 }, () => 0.1 + 0.2);
    expect(controlChart(same)!.signals).toEqual([]);
    expect(controlChart([...same, 0.31])!.signals).toMatchObject([
      { rule: 'beyond limits', at: 20 },
    ]);
  });
});

describe('runs to the limit', () => {
  it('draws a straight drift on to the limit that it heads for', () => {
    const values = [1, 2, 3, 4, 5, 6, 7, 8];
    expect(runsToLimit(values, { lower: 0, upper: 20 })).toBe(12);
    expect(runsToLimit(values.toReversed(), { lower: -1, upper: 20 })).toBe(2);
  });

  it('is nothing where the drift heads for no limit', () => {
    expect(runsToLimit([1, 2, 3], { lower: 0, upper: null })).toBeNull();
    expect(runsToLimit([2, 2, 2], { lower: 0, upper: 3 })).toBeNull();
    expect(runsToLimit([], { lower: 0, upper: 3 })).toBeNull();
  });
});
