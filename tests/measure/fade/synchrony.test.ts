import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { startSpread } from '../../../harness/measure/metrics/fade/channel-spread.ts';
import { fadeSynchrony } from '../../../harness/measure/metrics/fade/fade-synchrony.ts';
import { fadeUndershoot } from '../../../harness/measure/metrics/fade/fade-undershoot.ts';
import { settlingTime } from '../../../harness/measure/metrics/fade/settling-time.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { type Channel, fade, lengthOf, levelAt, type Made, observe, recordOf } from '../lamp-of.ts';

/** A channel of which `course` changes the share of the way at each share of the time (0..1). */
function channelOf(
  channel: string,
  [start, end]: readonly [number, number],
  course: (part: number) => number,
  made: Made = {},
): Channel {
  const segments = fade(start, end, 2);
  const level = (t: number) => {
    const part = (t - 0.3) / 2;
    return part <= 0 || part >= 1 ? levelAt(segments, t) : start * (end / start) ** course(part);
  };
  return { channel, segments, waveform: recordOf(level, lengthOf(segments), made) };
}

const straight = (part: number) => part;

function assessedOf(metric: Metric, channels: readonly Channel[], of = 'lamp') {
  const assessed = assess(metric, observe(metric, channels, of), [], 2);
  if (!('expanded' in assessed)) throw new Error(JSON.stringify(assessed.outcome));
  const { value, floor } = assessed.outcome;
  return { value, floor, expanded: assessed.expanded };
}

describe('channels within a crossfade', () => {
  it.each([0, 0.01, 0.04])(
    'part midway by %f of the fade, though start and arrival agree',
    (bow) => {
      const bent = (part: number) => part + bow * Math.sin(Math.PI * part);
      for (const made of [{}, { noise: 2e-5 }, { modulator: 'pulse-density' } as const]) {
        const channels = [
          channelOf('warm', [0.9, 0.1], straight, made),
          channelOf('cool', [0.05, 0.8], bent, { ...made, seed: 9 }),
        ];
        // Closed form: share s is passed at s on the straight way, and at p with p + b sin πp = s on the bent one.
        const { value, expanded } = assessedOf(fadeSynchrony, channels);
        const truth = 2 * farthestApart(bow);
        expect(Math.abs(value - truth)).toBeLessThan(expanded + 2e-3);
        expect(value + expanded).toBeGreaterThan(truth);
        expect(expanded).toBeLessThan(0.02);
      }
    },
  );

  /** Largest s - p with p + b sin πp = s, s from 5 % to 95 %: b sin πp is largest at p = 1/2 (computed by scan). */
  function farthestApart(bow: number): number {
    let farthest = 0;
    for (let p = 0; p <= 1; p += 1e-4) {
      const s = p + bow * Math.sin(Math.PI * p);
      if (s >= 0.05 && s <= 0.95) farthest = Math.max(farthest, s - p);
    }
    return farthest;
  }

  it('start apart by what one of them is late', () => {
    const late = fade(0.05, 0.8, 2, { before: 0.35, after: 0.45 });
    const cool = channelOf('cool', [0.05, 0.8], straight);
    const waveform = recordOf((t) => levelAt(late, t), lengthOf(cool.segments));
    const channels = [channelOf('warm', [0.9, 0.1], straight), { ...cool, waveform }];
    expect(Math.abs(assessedOf(startSpread, channels).value - 0.05)).toBeLessThan(3e-3);
  });

  it('are at least two', () => {
    const one = observe(fadeSynchrony, [channelOf('warm', [0.9, 0.1], straight)], 'lamp');
    expect(fadeSynchrony.compute(one)).toMatchObject({ measured: false, reason: 'no-fade' });
  });
});

describe('undershoot', () => {
  const segments = fade(0.1, 0.5, 1, { before: 0.5, after: 1 });
  const blip = (t: number, at: number, size: number) =>
    t > at && t < at + 0.2 ? size * Math.sin((Math.PI * (t - at)) / 0.2) ** 2 : 0;
  const channel = (really: (t: number) => number, made: Made = {}): Channel[] => [
    { channel: 'warm', segments, waveform: recordOf(really, lengthOf(segments), made) },
  ];

  it.each([
    ['before the start', 0.3],
    ['after the arrival', 1.7],
  ])('%s has the size of the dip over the step (closed form)', (_, at) => {
    for (const size of [0.004, 0.008]) {
      const really = (t: number) => levelAt(segments, t) - blip(t, at, size);
      const { value, expanded } = assessedOf(fadeUndershoot, channel(really), 'warm');
      // A Hann mean over 20 ms takes 0.5 % off the top of a dip of 200 ms.
      expect(value / (size / 0.4)).toBeGreaterThan(0.98);
      expect(value).toBeLessThan(size / 0.4 + 1e-3);
      expect(value + expanded).toBeGreaterThan((0.995 * size) / 0.4);
    }
  });

  it('right behind the arrival is within U, though no average comes to the final level', () => {
    const size = 0.012;
    const dip = (t: number) =>
      t > 1.5 ? size * ((t - 1.5) / 0.05) * Math.exp(1 - (t - 1.5) / 0.05) : 0;
    const really = (t: number) => levelAt(segments, t) - dip(t);
    const { value, expanded } = assessedOf(fadeUndershoot, channel(really), 'warm');
    expect(value + expanded).toBeGreaterThan((0.995 * size) / 0.4);
  });

  it('is not the way back from an overshoot, and none of a straight fade', () => {
    const over = (t: number) => levelAt(segments, t) + blip(t, 1.6, 0.05);
    expect(assessedOf(fadeUndershoot, channel(over), 'warm').value).toBeLessThan(1e-3);
    const noisy = channel((t) => levelAt(segments, t), { noise: 1e-3 });
    const { value, floor = 0 } = assessedOf(fadeUndershoot, noisy, 'warm');
    expect(value).toBeLessThan(5e-3);
    expect(floor).toBeGreaterThan(0);
  });
});

describe('settling', () => {
  const segments = fade(0.1, 0.5, 1, { before: 0.5, after: 2 });
  const channel = (really: (t: number) => number, made: Made = {}): Channel[] => [
    { channel: 'warm', segments, waveform: recordOf(really, lengthOf(segments), made) },
  ];

  it.each([0.05, 0.1, 0.2])('of a tail of time constant %f s takes τ ln(size / band)', (tau) => {
    for (const noise of [0, 1e-3]) {
      const tail = (t: number) => (t > 1.5 ? -0.04 * Math.exp(-(t - 1.5) / tau) : 0);
      const really = (t: number) => levelAt(segments, t) + tail(t);
      const { value, expanded } = assessedOf(settlingTime, channel(really, { noise }), 'warm');
      // Closed form: 8 % of the final level decays to the band of 2 % in τ ln 4.
      expect(Math.abs(value - tau * Math.log(4))).toBeLessThan(expanded);
      expect(expanded).toBeLessThan(0.05);
    }
  });

  it.each([0.3, 0.4])(
    'of a tail of %f s, still going on where the record ends, is within U',
    (tau) => {
      const tail = (t: number) => (t > 1.5 ? -0.05 * Math.exp(-(t - 1.5) / tau) : 0);
      const really = (t: number) => levelAt(segments, t) + tail(t);
      const { value, expanded } = assessedOf(settlingTime, channel(really), 'warm');
      expect(Math.abs(value - tau * Math.log(5))).toBeLessThan(expanded);
    },
  );

  it('is over before the end where the light arrives on its line (closed form)', () => {
    const { value, expanded } = assessedOf(
      settlingTime,
      channel((t) => levelAt(segments, t)),
      'warm',
    );
    // 5^(t/T) within 2 % of the end: T ln(0.98) / ln(5).
    expect(Math.abs(value - Math.log(0.98) / Math.log(5))).toBeLessThan(expanded);
  });

  it('is not told of light that leaves the band to the end, nor where noise hides the band', () => {
    const restless = (t: number) =>
      levelAt(segments, t) * (1 + 0.05 * Math.sin(2 * Math.PI * 3 * t));
    const outcome = settlingTime.compute(observe(settlingTime, channel(restless), 'warm'));
    expect(outcome.measured).toBe(false);
    const noisy = channel((t) => levelAt(segments, t), { noise: 0.05 });
    const hidden = settlingTime.compute(observe(settlingTime, noisy, 'warm'));
    expect(hidden).toMatchObject({ measured: false, reason: 'below-noise' });
  });
});
