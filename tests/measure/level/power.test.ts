import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { afterglowTime } from '../../../harness/measure/metrics/level/afterglow-time.ts';
import { highestLevel, lowestLevel } from '../../../harness/measure/metrics/level/extreme-level.ts';
import type { Measured, Outcome } from '../../../harness/measure/outcome.ts';
import { type Made, observe, recordOf, steps } from '../lamp-of.ts';
import { wellFormed } from '../well-formed.ts';

const reference = { from: 0, to: 0.5 };
const window = { from: 0.5, to: 1.5 };

/** Full light, then dark is commanded at 0.5 s; `lit` is what the lamp gives from there on, by the time since. */
function outcomeOf(
  metric: Metric,
  lit: (since: number) => number,
  made: Made = {},
  parameters = {},
): Outcome {
  const segments = steps([
    [1, 0.5],
    [0, 1],
  ]);
  const level = (t: number) => (t < 0.5 ? 1 : lit(t - 0.5));
  const waveform = recordOf(level, 1.5, { rate: 20_000, ...made });
  const lamp = [{ channel: 'warm', segments, waveform }];
  return wellFormed(metric, observe(metric, lamp, 'warm', { reference, window, parameters }));
}

function measuredOf(...asked: Parameters<typeof outcomeOf>): Measured {
  const outcome = outcomeOf(...asked);
  if (!outcome.measured) throw new Error(JSON.stringify(outcome));
  return outcome;
}

describe('afterglow', () => {
  it.each([0.005, 0.02, 0.08])('of time constant %f s takes τ ln 1000 (closed form)', (tau) => {
    const { value, contributions } = measuredOf(afterglowTime, (since) => Math.exp(-since / tau));
    const truth = tau * Math.log(1000);
    const standard = Math.hypot(...contributions.map((each) => each.standard));
    expect(Math.abs(value - truth)).toBeLessThan(2 * standard);
    // A Hann mean of an exponential exceeds its middle: by a time that falls with width²/τ.
    expect(Math.abs(value - truth)).toBeLessThan(2.5e-4 + 2e-6 / tau);
  });

  it('that ends abruptly is as long as it is, within U', () => {
    for (const lasts of [0.0003, 0.01, 0.3]) {
      const outcome = measuredOf(afterglowTime, (since) => (since < lasts ? 0.01 : 0));
      const standard = Math.hypot(...outcome.contributions.map((each) => each.standard));
      expect(Math.abs(outcome.value - lasts)).toBeLessThan(2 * standard);
    }
  });

  it('of none is none, with half an average as its floor', () => {
    const { value, floor } = measuredOf(afterglowTime, () => 0);
    expect(value).toBeLessThan(1.1e-3);
    expect(floor).toBeGreaterThanOrEqual(1e-3);
  });

  it('that has not ended is a lamp that does not go off', () => {
    const outcome = outcomeOf(afterglowTime, () => 0.01);
    expect(outcome).toMatchObject({ measured: false, reason: 'no-plateau' });
  });

  it('is not told where noise hides the threshold', () => {
    const outcome = outcomeOf(afterglowTime, () => 0, { noise: 2e-3 });
    expect(outcome).toMatchObject({ measured: false, reason: 'below-noise' });
  });
});

describe('the highest level', () => {
  it.each([1e-3, 3e-3, 0.1])('shows a flash of %f s at its height, wherever it lies', (lasts) => {
    for (const at of [0, 0.10007, 0.50013, 0.9]) {
      const flash = (since: number) => (since >= at && since < at + lasts ? 0.2 : 0);
      const outcome = measuredOf(highestLevel, flash);
      // The first average lies half in the dark where the window begins with the flash, but not wholly.
      const expected = at === 0 && lasts === 1e-3 ? 0.19 : 0.197;
      expect(outcome.value).toBeGreaterThan(expected);
      expect(outcome.value).toBeLessThan(0.2 + 1e-9);
    }
  });

  it('of dark has the noise of an average as its floor, and never less', () => {
    const { value, floor = 0 } = measuredOf(highestLevel, () => 0, { noise: 1e-3 });
    expect(value).toBeGreaterThan(0);
    expect(floor).toBeGreaterThanOrEqual(value);
  });

  it('is not told without light to hold it against, nor at a rate that shows no flash', () => {
    const slow = outcomeOf(highestLevel, () => 0, { rate: 2000 });
    expect(slow).toMatchObject({ measured: false, reason: 'too-slow' });
  });
});

describe('the lowest level', () => {
  it.each([1e-3, 3e-3, 0.1])('shows a drop of %f s at its depth, wherever it lies', (lasts) => {
    for (const at of [0.10007, 0.50013, 0.9]) {
      const drop = (since: number) => (since >= at && since < at + lasts ? 0.3 : 0.9);
      const outcome = measuredOf(lowestLevel, drop);
      const standard = Math.hypot(...outcome.contributions.map((each) => each.standard));
      expect(Math.abs(outcome.value - 0.3)).toBeLessThanOrEqual(2 * standard);
      expect(standard).toBeLessThan(0.03);
      const off = Number(outcome.evidence.notes['at']) - (0.5 + at + lasts / 2);
      expect(Math.abs(off)).toBeLessThan(lasts / 2 + 1e-3);
    }
  });

  it('sees a drop that lasts through the whole window, which has no course to dip from', () => {
    expect(measuredOf(lowestLevel, () => 0.5).value).toBeCloseTo(0.5, 6);
  });

  it('is a mean over `shortest`: a shorter drop counts for its part', () => {
    const drop = (since: number) => (since >= 0.5 && since < 0.51 ? 0 : 1);
    const { value } = measuredOf(lowestLevel, drop, {}, { shortest: 0.1 });
    expect(value).toBeCloseTo(0.9, 2);
  });

  it('is not lowered by noise beyond its uncertainty', () => {
    const outcome = measuredOf(lowestLevel, () => 1, { noise: 0.02 });
    const standard = Math.hypot(...outcome.contributions.map((each) => each.standard));
    expect(Math.abs(outcome.value - 1)).toBeLessThan(2 * standard);
  });

  it('is not told without light to hold it against, nor at a rate that shows no drop', () => {
    const slow = outcomeOf(lowestLevel, () => 1, { rate: 2000 });
    expect(slow).toMatchObject({ measured: false, reason: 'too-slow' });
  });
});
