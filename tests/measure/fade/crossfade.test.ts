import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import {
  arrivalSpread,
  startSpread,
} from '../../../harness/measure/metrics/fade/channel-spread.ts';
import { fadeSynchrony } from '../../../harness/measure/metrics/fade/fade-synchrony.ts';
import { hannNoise } from '../../../harness/measure/signal/hann.ts';
import { fade, observe, recordOf } from '../lamp-of.ts';
import { outcome, standardOf } from './quick-fade.ts';

/** Three channels between 0.5 s and 1.5 s, in an order that is none of time. */
const channels = [
  { channel: 'warm', from: 1, to: 0.1 },
  { channel: 'cool', from: 0.1, to: 0.8 },
  { channel: 'red', from: 0.05, to: 0.5 },
] as const;

/** The way of each channel (0..1) over time. */
type Ways = Readonly<Record<'warm' | 'cool' | 'red', (t: number) => number>>;

function crossfade(metric: Metric, ways: Ways, noise = 0, parameters: Record<string, number> = {}) {
  return observe(
    metric,
    channels.map(({ channel, from, to }, seed) => ({
      channel,
      segments: fade(from, to, 1, { before: 0.5, after: 0.7 }),
      waveform: recordOf((t) => from * (to / from) ** ways[channel](t), 2.2, {
        ...{ rate: 1000, noise, seed },
      }),
    })),
    'lamp',
    { parameters },
  );
}

const straight =
  (start = 0.5, seconds = 1) =>
  (t: number) =>
    Math.min(1, Math.max(0, (t - start) / seconds));
const late: Ways = { warm: straight(0.53), cool: straight(), red: straight(0.51) };

/** Cool creeps through its last twentieth from 1.4 s to 1.6 s. */
const creepingCool: Ways = {
  warm: straight(),
  cool: (t) => {
    const part = straight()(t);
    return part < 0.9 ? (0.95 / 0.9) * part : Math.min(1, 0.95 + 0.25 * (t - 1.4));
  },
  red: straight(),
};

describe('the spread of a crossfade', () => {
  it.each([
    [startSpread, 'start', 0.5],
    [arrivalSpread, 'arrival', 1.5],
  ] as const)(
    '$id is the latest less the earliest, whatever the order of the channels',
    (metric, name, at) => {
      const made = outcome(metric, crossfade(metric, late));
      expect(made.value).toBeCloseTo(0.03, 3);
      expect(made.evidence.notes).toEqual({
        [`${name}-warm`]: expect.closeTo(at + 0.03, 3),
        [`${name}-cool`]: expect.closeTo(at, 3),
        [`${name}-red`]: expect.closeTo(at + 0.01, 3),
      });
      expect(made.evidence.charts.map(({ kind }) => kind)).toEqual(['arrivals', 'waveform']);
      expect(made.contributions.map(({ name, isNoise }) => [name, isNoise ?? false])).toEqual([
        ['fit residual', true],
        ['scatter of the plateaus', true],
        ['shape of the fades', false],
        ['noise at the ends', true],
      ]);
    },
  );

  it('is no less than what the light itself does where it leaves its lines, a quarter of which may be blur', () => {
    const made = outcome(arrivalSpread, crossfade(arrivalSpread, creepingCool));
    const notes = made.evidence.notes;
    const arrivals = ['warm', 'cool', 'red'].map((channel) => Number(notes[`arrival-${channel}`]));
    const lines = Math.max(...arrivals) - Math.min(...arrivals);
    const added = made.value - lines;
    // Of 0.1 s.
    expect(made.value).toBeGreaterThan(0.095);
    expect(made.value).toBeLessThan(0.103);
    expect(added).toBeGreaterThan(0.01);
    expect(standardOf(made, 'shape of the fades')).toBeCloseTo(0.25 * added, 9);
    expect(made.value + 2 * standardOf(made, 'shape of the fades')).toBeGreaterThan(0.095);
  });

  it('of channels that agree is hardly any, and all that their light adds may be blur', () => {
    const ways: Ways = { warm: straight(), cool: straight(), red: straight() };
    const made = outcome(arrivalSpread, crossfade(arrivalSpread, ways));
    expect(made.value).toBeLessThan(1e-3);
    expect(standardOf(made, 'shape of the fades')).toBeLessThanOrEqual(0.55 * made.value);
    expect(standardOf(made, 'noise at the ends')).toBeLessThan(1e-4);
  });

  it('is moved by noise as far as the light takes to change by it at the ends, where the light itself counts', () => {
    const noise = 5e-4;
    const made = outcome(arrivalSpread, crossfade(arrivalSpread, creepingCool, noise));
    // Averages of 4 % of the fade; the speed is that of the line's last average, less of the light on the way up.
    const one = (hannNoise * noise) / Math.sqrt(0.04 * 1000);
    const speed = ({ from, to }: { from: number; to: number }) =>
      Math.abs(to - from * (to / from) ** 0.96) / 0.04;
    const expected = 1.5 * one * Math.hypot(...channels.map((each) => 1 / speed(each)));
    expect(standardOf(made, 'noise at the ends') / expected).toBeGreaterThan(0.8);
    expect(standardOf(made, 'noise at the ends') / expected).toBeLessThan(1.25);
  });
});

describe('the time apart at one share of the way', () => {
  /** Warm is ahead by 20 ms of a bow in the middle of its fade. */
  const bowed = (t: number) => {
    const part = straight()(t);
    return part + 0.02 * Math.sin(Math.PI * part);
  };
  const ways: Ways = { warm: bowed, cool: straight(), red: straight() };

  it('is that of the share where it is largest, of which the median share may be as much', () => {
    const made = outcome(fadeSynchrony, crossfade(fadeSynchrony, ways));
    expect(made.value).toBeCloseTo(0.02, 3);
    const share = Number(made.evidence.notes['share-of-the-way']);
    expect(share).toBeGreaterThan(0.35);
    expect(share).toBeLessThan(0.65);
    expect(made.evidence.charts.length).toBe(1);
    expect(made.contributions.map(({ name, isNoise }) => [name, isNoise ?? false])).toEqual([
      ['scatter of the averages', true],
      ['scatter of the plateaus', false],
      ['largest of many', true],
    ]);
    // Every average scatters by 0.3 %, against ln 10 a second of the one, ln 8 or ln 10 of the other.
    expect(standardOf(made, 'scatter of the averages')).toBeCloseTo(
      0.003 * Math.hypot(1 / Math.LN10, 1 / Math.LN10),
      3,
    );
    // Of a half sine over evenly spaced shares the median is about 0.71 of the largest.
    expect(standardOf(made, 'largest of many')).toBeGreaterThan(0.0005);
    expect(standardOf(made, 'largest of many')).toBeLessThanOrEqual(
      1.5 * 0.003 * Math.hypot(1 / Math.log(8), 1 / Math.LN10),
    );
    expect(made.floor).toBe(made.value);
  });

  it('may be as much as averages scatter where it is less', () => {
    const alike: Ways = { warm: straight(), cool: straight(), red: straight() };
    const made = outcome(fadeSynchrony, crossfade(fadeSynchrony, alike));
    expect(made.value).toBeLessThan(1e-3);
    expect(made.floor).toBeGreaterThan(2 * 0.003 * (1 / Math.LN10));
    expect(made.floor).toBeLessThan(2.1 * 0.003 * Math.hypot(1 / Math.log(8), 1 / Math.LN10));
    expect(standardOf(made, 'largest of many')).toBeLessThan(1e-3);
  });

  it('scatters by noise over the speed of each channel, and by its plateaus', () => {
    const noise = 0.003;
    const made = outcome(fadeSynchrony, crossfade(fadeSynchrony, ways, noise));
    const one = (hannNoise * noise) / Math.sqrt(20);
    // At the dim end of warm, 0.1, noise takes one / (0.1 ln 10) seconds.
    expect(standardOf(made, 'scatter of the averages')).toBeGreaterThan(one / Math.LN10);
    expect(standardOf(made, 'scatter of the averages')).toBeLessThan(
      (2 * one) / (0.05 * Math.LN10),
    );
    // The dimmest plateau of 0.05 and 0.3 s: Hann noise of its mean over ln 10.
    const plateau = (hannNoise * noise) / Math.sqrt(300) / 0.05 / Math.LN10;
    expect(standardOf(made, 'scatter of the plateaus')).toBeGreaterThan(plateau);
    expect(standardOf(made, 'scatter of the plateaus')).toBeLessThan(3 * plateau);
  });

  it('is averaged over what is asked for, a sixteenth of the fade at most', () => {
    // A ripple of 1/30 s: averages of 20 ms leave most of it, those of a sixteenth of a second hardly any.
    const ripple = (t: number) => {
      const part = straight()(t);
      return part > 0.1 && part < 0.9 ? part + 0.004 * Math.sin(60 * Math.PI * t) : part;
    };
    const rippled: Ways = { ...ways, warm: ripple };
    const of = (smoothing: number) =>
      outcome(fadeSynchrony, crossfade(fadeSynchrony, rippled, 0, { smoothing })).value;
    expect(of(0.02)).toBeGreaterThan(0.002);
    expect(of(0.0625)).toBeLessThan(0.001);
    expect(of(0.5)).toBe(of(0.0625));
  });
});
