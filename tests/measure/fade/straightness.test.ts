import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import {
  arrivalSpread,
  startSpread,
} from '../../../harness/measure/metrics/fade/channel-spread.ts';
import { curveDeviation } from '../../../harness/measure/metrics/fade/curve-deviation.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import { fadeStartDelay } from '../../../harness/measure/metrics/fade/fade-start-delay.ts';
import { fadeSynchrony } from '../../../harness/measure/metrics/fade/fade-synchrony.ts';
import { settlingTime } from '../../../harness/measure/metrics/fade/settling-time.ts';
import type { NotMeasurable, Outcome } from '../../../harness/measure/outcome.ts';
import { fade, lengthOf, observe, recordOf } from '../lamp-of.ts';

const [from, over] = [0.3, 2];

/** Light whose way along the curve, 0..1, is a function of the fade's time, 0..1. */
function light(start: number, end: number, way: (part: number) => number): (t: number) => number {
  return (t) => start * (end / start) ** way(Math.min(1, Math.max(0, (t - from) / over)));
}

/** The way along the curve of light that goes straight in light, with a share of what ought to be. */
function straightInLight(start: number, end: number, size: number): (part: number) => number {
  return (part) => {
    const level =
      size * (start + (end - start) * part) + (1 - size) * start * (end / start) ** part;
    return Math.log(level / start) / Math.log(end / start);
  };
}

function found(
  metric: Metric,
  [start, end]: readonly [number, number],
  way: (part: number) => number,
): Outcome {
  const segments = fade(start, end, over);
  const channels = ['warm', 'cool'].map((channel) => ({
    channel,
    segments,
    waveform: recordOf(light(start, end, way), lengthOf(segments), { noise: 1e-6 }),
  }));
  return metric.compute(observe(metric, channels, metric.needs.scope === 'one' ? 'warm' : 'lamp'));
}

const ways = [
  ['down', [1, 0.001]],
  ['up', [0.001, 1]],
  ['part of the way', [0.8, 0.002]],
] as const;

describe.each(ways)('a fade that goes straight in light, %s,', (_, ends) => {
  it.each([fadeDuration, fadeStartDelay, arrivalSpread, startSpread, fadeSynchrony, settlingTime])(
    'has no $id: a line through it means nothing',
    (metric) => {
      const refused = found(metric, ends, straightInLight(ends[0], ends[1], 1)) as NotMeasurable;
      expect(refused).toMatchObject({ measured: false, reason: 'not-a-straight-fade' });
      expect(refused.note).toMatch(
        /% of the way along the dimming curve takes [\d.]+ s, commanded [\d.]+ s; it runs straight in light, without the curve$/,
      );
    },
  );

  it('deviates from the commanded line by what it ought to', () => {
    const way = straightInLight(ends[0], ends[1], 1);
    const outcome = found(curveDeviation, ends, way);
    if (!outcome.measured) throw new Error(outcome.note);
    // The largest distance of the two courses, by a search over the fade.
    const parts = Array.from({ length: 2001 }, (_, k) => k / 2000);
    const worst = Math.max(
      ...parts.map((part) => Math.abs((ends[1] / ends[0]) ** (way(part) - part) - 1)),
    );
    expect(Math.abs(outcome.value / worst - 1)).toBeLessThan(0.05);
  });
});

it('a fade that is a little bent is measured, with what the bend leaves open', () => {
  const ends = [1, 0.001] as const;
  const outcome = found(fadeDuration, ends, straightInLight(ends[0], ends[1], 0.02));
  if (!outcome.measured) throw new Error(outcome.note);
  const expanded = 2 * Math.hypot(...outcome.contributions.map(({ standard }) => standard));
  expect(Math.abs(outcome.value - over)).toBeLessThan(expanded);
});

it('a fade that pauses for most of its time names the time that its way takes', () => {
  const pausing = (part: number) => (part < 0.1 ? 4 * part : part < 0.95 ? 0.4 : 12 * part - 11);
  const refused = found(fadeDuration, [1, 0.01], pausing) as NotMeasurable;
  expect(refused.reason).toBe('not-a-straight-fade');
  expect(refused.note).toMatch(
    /^40 % of the way .* commanded 0.8 s$|^50 % of the way .* commanded 1 s$/,
  );
});

it.each([
  ['later and slower', (part: number) => Math.max(0, (part - 0.2) / 0.8)],
  ['with a jump at its end', (part: number) => (part < 0.85 ? part : 1)],
  ['in eight stairs', (part: number) => Math.round(part * 8) / 8],
  ['with a spike of half the way', (part: number) => (Math.abs(part - 0.3) < 0.004 ? 0.8 : part)],
])('a fade that goes %s is straight enough to be measured', (_, way) => {
  expect(found(fadeDuration, [1, 0.01], way)).toMatchObject({ measured: true });
});

it('a jump instead of a fade has no shape to refuse', () => {
  const outcome = found(fadeDuration, [1, 0.01], (part) => (part > 0.5 ? 1 : 0));
  expect(outcome.measured || outcome.reason).not.toBe('not-a-straight-fade');
});
