import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { arrivalSpread } from '../../../harness/measure/metrics/fade/channel-spread.ts';
import { curveDeviation } from '../../../harness/measure/metrics/fade/curve-deviation.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import { fadeOvershoot } from '../../../harness/measure/metrics/fade/fade-overshoot.ts';
import { fadeStartDelay } from '../../../harness/measure/metrics/fade/fade-start-delay.ts';
import { largestVisibleStep } from '../../../harness/measure/metrics/fade/largest-visible-step.ts';
import type { Observation, Segment } from '../../../harness/measure/observation.ts';
import { figure, reason } from '../current/current-of.ts';
import { type Channel, fade, lengthOf, levelAt, type Made, observe, recordOf } from '../lamp-of.ts';
import { changedRecord, recorded } from '../recorded.ts';

/** A channel that does what is commanded, or `really` something else. */
function channelOf(
  segments: readonly Segment[],
  made: Made = {},
  really: (t: number) => number = (t) => levelAt(segments, t),
  channel = 'warm',
): Channel {
  return { channel, segments, waveform: recordOf(really, lengthOf(segments), made) };
}

function observed(
  metric: Metric,
  segments: readonly Segment[],
  made: Made = {},
  really?: (t: number) => number,
  change: Partial<Observation> = {},
): Observation {
  return observe(metric, [channelOf(segments, made, really)], 'warm', change);
}

const modulators = ['none', 'pulse-density', 'pulse-width'] as const;

describe.each(modulators)('a healthy fade through modulator %s', (modulator) => {
  // Analytic: the record is the exponential itself. 0.7 s over three decades is the fastest that the table has.
  it.each([
    [1, 0.001, 0.7],
    [0.001, 1, 0.7],
    [1, 0, 0.7],
    [0, 1, 0.7],
    [0.8, 0.1, 0.7],
    [0.6, 0.65, 0.7],
    [1, 0.001, 2],
    [0, 1, 8],
    [1, 0.001, 90.51],
  ])('from %f to %f in %f s is measured within 0.25 %%', (start, end, seconds) => {
    const segments = fade(start, end, seconds);
    const value = figure(fadeDuration, observed(fadeDuration, segments, { modulator }));
    expect(Math.abs(value / seconds - 1)).toBeLessThan(2.5e-3);
    const delay = figure(fadeStartDelay, observed(fadeStartDelay, segments, { modulator }));
    // Ticks and periods of a millisecond hold a level for half of one on average.
    expect(Math.abs(delay)).toBeLessThan(Math.max(2e-3, 5e-4 * seconds));
  });

  it('deviates little from its curve and does not overshoot', () => {
    const segments = fade(1, 0.001, 2);
    expect(figure(curveDeviation, observed(curveDeviation, segments, { modulator }))).toBeLessThan(
      0.01,
    );
    expect(figure(fadeOvershoot, observed(fadeOvershoot, segments, { modulator }))).toBeLessThan(
      1e-3,
    );
    expect(
      figure(largestVisibleStep, observed(largestVisibleStep, segments, { modulator })),
    ).toBeLessThan(0.02);
  });

  it('stays within twice its stated uncertainty under noise, for most seeds', () => {
    const segments = fade(1, 0.01, 1);
    let inside = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const outcome = fadeDuration.compute(
        observed(fadeDuration, segments, { modulator, noise: 2e-3, seed }),
        {
          evidence: false,
        },
      );
      if (!outcome.measured) throw new Error(outcome.reason);
      const standard = Math.hypot(...outcome.contributions.map((one) => one.standard));
      // A millisecond of the modulator's own granularity is no error of the fit.
      if (Math.abs(outcome.value - 1) < 2 * standard + 1e-3) inside++;
    }
    expect(inside).toBeGreaterThanOrEqual(34);
  });
});

describe('what a fade really does', () => {
  const segments = fade(1, 0.001, 2, { after: 2 });
  const late = (delay: number, seconds: number) => (t: number) =>
    0.001 ** Math.min(1, Math.max(0, (t - 0.3 - delay) / seconds));

  it('that was cut short has a slope that is known no better than the time between its commands', () => {
    // Down by ln 100 in 4 s, after 1 s up again: within 50 ms the ideal changes by 0.0576 at most (computed).
    const cut = [
      { from: 0, to: 1, startLevel: 1, endLevel: 0.01 ** 0.25 },
      { from: 1, to: 5, startLevel: 0.01 ** 0.25, endLevel: 1 },
    ];
    const exact = observed(largestVisibleStep, cut);
    const standardOf = (standardInstant: number): number | undefined => {
      const commanded = { ...exact.commanded, standardInstant };
      const outcome = largestVisibleStep.compute({ ...exact, commanded });
      const all = outcome.measured ? (outcome.contributions ?? []) : [];
      return all.find(({ name }) => name === 'instant of the command')?.standard;
    };
    expect(standardOf(0)).toBe(0);
    expect(standardOf(0.01)! / (Math.SQRT2 * 0.01 * 0.0576)).toBeCloseTo(1, 1);
  });

  it('starts at an instant that is known no better than that of its command', () => {
    const exact = observed(fadeStartDelay, segments, { modulator: 'pulse-density' });
    const story = { ...exact.commanded, standardInstant: 4e-3 };
    const outcome = fadeStartDelay.compute({ ...exact, commanded: story });
    expect(outcome).toMatchObject({
      measured: true,
      contributions: expect.arrayContaining([{ name: 'instant of the command', standard: 4e-3 }]),
    });
  });

  it('is measured when it is late and slow', () => {
    const made = { modulator: 'pulse-density' } as const;
    const really = late(0.04, 2.3);
    expect(figure(fadeDuration, observed(fadeDuration, segments, made, really))).toBeCloseTo(
      2.3,
      2,
    );
    expect(figure(fadeStartDelay, observed(fadeStartDelay, segments, made, really))).toBeCloseTo(
      0.04,
      2,
    );
  });

  it('deviates from the curve where it is linear in light', () => {
    const linear = (t: number) => 1 - 0.999 * Math.min(1, Math.max(0, (t - 0.3) / 2));
    expect(figure(curveDeviation, observed(curveDeviation, segments, {}, linear))).toBeGreaterThan(
      0.5,
    );
  });

  // Two straight pieces: closed form, the light leaves at 0.3 s and arrives at 2.3 s in every case.
  it.each([
    ['kinked halfway', 0.5, 0.8],
    ['kinked early', 0.3, 0.75],
    ['creeping to its end', 0.85, 0.985],
    ['creeping from its start', 0.15, 0.015],
  ])('takes no less than it does where it is %s', (_, time, share) => {
    const way = (t: number): number => {
      const part = Math.min(1, Math.max(0, (t - 0.3) / 2));
      return part < time
        ? (share * part) / time
        : share + ((1 - share) * (part - time)) / (1 - time);
    };
    const really = (t: number) => 0.01 ** way(t);
    const down = fade(1, 0.01, 2, { after: 2 });
    const outcome = fadeDuration.compute(observed(fadeDuration, down, {}, really));
    if (!outcome.measured) throw new Error(outcome.reason);
    const expanded = 2 * Math.hypot(...outcome.contributions.map(({ standard }) => standard));
    expect(outcome.value + expanded).toBeGreaterThanOrEqual(2);
    expect(outcome.value - expanded).toBeLessThanOrEqual(2);
    expect(outcome.value + expanded).toBeLessThan(2.2);
  });

  it('starts half a sample earlier or later, as nobody says what a sample stands for', () => {
    const seen = observed(fadeStartDelay, segments, {});
    const outcome = fadeStartDelay.compute(seen);
    const interval = 1 / seen.records[0]!.sampling.rate;
    expect(outcome).toMatchObject({
      contributions: expect.arrayContaining([
        { name: 'instant of a sample', standard: (0.5 * interval) / Math.sqrt(3) },
      ]),
    });
  });

  it('deviates by what a bump adds', () => {
    const bump = (t: number) => late(0, 2)(t) * (1 + 0.1 * Math.exp(-(((t - 1.3) / 0.2) ** 2)));
    const value = figure(curveDeviation, observed(curveDeviation, segments, {}, bump));
    // By its definition 10 %; a line fitted to the bump as well would show 7 %.
    expect(value).toBeCloseTo(0.1, 2);
  });

  it('overshoots by what it goes beyond the plateau, as a part of the step', () => {
    const up = fade(0.1, 0.5, 1, { after: 1 });
    const over = (t: number) =>
      levelAt(up, t) + (t > 1.3 ? 0.02 * Math.exp(-(((t - 1.4) / 0.05) ** 2)) : 0);
    // Computed: 0.02 / 0.4 = 5 %.
    expect(figure(fadeOvershoot, observed(fadeOvershoot, up, {}, over))).toBeCloseTo(0.05, 2);
  });

  it('steps visibly when it has eight bits', () => {
    const coarse = (t: number) => Math.max(1, Math.round(255 * late(0, 2)(t))) / 255;
    const value = figure(largestVisibleStep, observed(largestVisibleStep, segments, {}, coarse));
    // Computed: the last step of eight bits is from 2/255 to 1/255, a change by a factor of two.
    expect(value).toBeGreaterThan(0.5);
    expect(value).toBeLessThan(1.1);
    const finer = (t: number) => Math.round(65535 * late(0, 2)(t)) / 65535;
    expect(
      figure(largestVisibleStep, observed(largestVisibleStep, segments, {}, finer)),
    ).toBeLessThan(0.02);
  });

  it('has no visible step for coming late', () => {
    const value = figure(
      largestVisibleStep,
      observed(largestVisibleStep, segments, {}, late(0.03, 2)),
    );
    expect(value).toBeLessThan(0.02);
  });

  it('shows a single step of 5 % by its size', () => {
    const hold = [{ from: 0, to: 2, startLevel: 0.5, endLevel: 0.5 }];
    const step = (t: number) => (t < 1 ? 0.5 : 0.525);
    expect(figure(largestVisibleStep, observed(largestVisibleStep, hold, {}, step))).toBeCloseTo(
      0.05,
      3,
    );
  });
});

describe('arrival of several channels', () => {
  const from = { warm: 0.8, red: 0.1, cyan: 0.05 };
  const to = { warm: 0.1, red: 0.65, cyan: 0.3 };
  const crossfade = (seconds: number, lateness: Readonly<Record<string, number>> = {}): Channel[] =>
    (['warm', 'red', 'cyan'] as const).map((channel) => {
      const segments = fade(from[channel], to[channel], seconds);
      const slow = fade(from[channel], to[channel], seconds + (lateness[channel] ?? 0));
      const made = { modulator: 'pulse-density', noise: 2e-4, seed: channel.length } as const;
      return channelOf(segments, made, (t) => levelAt(slow, t), channel);
    });

  it.each([0.7, 2, 8])('has no spread in a crossfade of %f s that arrives together', (seconds) => {
    expect(figure(arrivalSpread, observe(arrivalSpread, crossfade(seconds), 'lamp'))).toBeLessThan(
      4e-3,
    );
  });

  it.each([0.7, 2])('has the spread that one late channel makes, over %f s', (seconds) => {
    const channels = crossfade(seconds, { cyan: 0.05 });
    expect(
      Math.abs(figure(arrivalSpread, observe(arrivalSpread, channels, 'lamp')) - 0.05),
    ).toBeLessThan(4e-3);
  });

  it('needs two channels that fade, and names the one that cannot be measured', () => {
    const [warm, red, cyan] = crossfade(2) as [Channel, Channel, Channel];
    expect(reason(arrivalSpread, observe(arrivalSpread, [warm], 'lamp'))).toBe('no-fade');
    const dark = { ...cyan, waveform: { ...cyan.waveform!, samples: new Float64Array(28_000) } };
    const outcome = arrivalSpread.compute(observe(arrivalSpread, [warm, red, dark], 'lamp'));
    expect(outcome).toMatchObject({ measured: false, reason: 'dark' });
    expect(!outcome.measured && outcome.note).toContain('cyan');
  });
});

describe('laws of a fade', () => {
  const segments = fade(1, 0.001, 2);

  it('does not depend on the scale of the light', () => {
    const one = observed(fadeDuration, segments, { modulator: 'pulse-density' });
    const { waveform } = one.records[0]!;
    const scaled = { ...waveform, samples: waveform.samples.map((value) => 731 * value) };
    const two = { ...one, records: [changedRecord(one.records[0]!, scaled)] };
    expect(figure(fadeDuration, two)).toBeCloseTo(figure(fadeDuration, one), 9);
  });

  it('scales with time', () => {
    const one = observed(fadeDuration, segments);
    const slow = observed(fadeDuration, fade(1, 0.001, 4, { before: 0.6, after: 1 }), {
      rate: 5000,
    });
    expect(figure(fadeDuration, slow)).toBeCloseTo(2 * figure(fadeDuration, one), 6);
  });

  it('is the same up as down', () => {
    const up = figure(fadeDuration, observed(fadeDuration, fade(0.01, 1, 2)));
    const down = figure(fadeDuration, observed(fadeDuration, fade(1, 0.01, 2)));
    expect(up).toBeCloseTo(down, 6);
  });

  it('is straight in light on a linear curve', () => {
    const linear = (t: number) => 0.1 + 0.9 * Math.min(1, Math.max(0, (t - 0.3) / 2));
    const base = observed(fadeDuration, fade(0.1, 1, 2), { noise: 1e-4 }, linear);
    const curve = { kind: 'linear', bottom: 0.004 } as const;
    const observation = { ...base, commanded: { ...base.commanded, curve } };
    expect(figure(fadeDuration, observation)).toBeCloseTo(2, 3);
    expect(figure(curveDeviation, observation)).toBeLessThan(2e-3);
  });

  it('holds for the mixed light of channels that dim together', () => {
    const channels = ['warm', 'cool'].map(
      (channel, index): Channel => ({
        channel,
        segments: fade(index ? 0.5 : 1, index ? 0.0005 : 0.001, 2),
        lumen: index ? 300 : 100,
      }),
    );
    const waveform = { ...recordOf((t) => 250 * levelAt(fade(1, 0.001, 2), t), 2.8), unit: 'lx' };
    const observation = observe(fadeDuration, channels, 'light', {
      records: [recorded('light', 'light', waveform)],
    });
    expect(figure(fadeDuration, observation)).toBeCloseTo(2, 3);
  });
});

describe('records that say too little of a fade', () => {
  const segments = fade(1, 0.01, 1);
  const metrics = [fadeDuration, fadeStartDelay, fadeOvershoot, curveDeviation];
  const withSamples = (metric: Metric, change: (value: number, k: number) => number) => {
    const observation = observed(metric, segments);
    const record = observation.records[0]!;
    const samples = record.waveform.samples.map(change);
    return { ...observation, records: [changedRecord(record, { samples })] };
  };

  it.each(metrics)('give no number of $id', (metric) => {
    const observation = observed(metric, segments);
    const record = observation.records[0]!;
    expect(reason(metric, { ...observation, records: [] })).toBe('no-record');
    expect(
      reason(
        metric,
        withSamples(metric, (v, k) => (k === 99 ? Number.NaN : v)),
      ),
    ).toBe('not-finite');
    expect(
      reason(
        metric,
        withSamples(metric, (v) => v - 0.5),
      ),
    ).toBe('negative-light');
    expect(
      reason(
        metric,
        withSamples(metric, () => 0.4),
      ),
    ).toBe('no-fade');
    expect(
      reason(
        metric,
        withSamples(metric, () => 0),
      ),
    ).toBe('dark');
    const clipped = changedRecord(record, { clipped: 1 });
    expect(reason(metric, { ...observation, records: [clipped] })).toBe('saturated');
    const none = changedRecord(record, { samples: new Float64Array(0) });
    expect(reason(metric, { ...observation, records: [none] })).toBe('empty');
    const one = changedRecord(record, { samples: new Float64Array(1) });
    expect(() => metric.compute({ ...observation, records: [one] })).not.toThrow();
  });

  it('miss a plateau, a fade, or the rate', () => {
    const slow = observed(fadeDuration, segments, {}, (t) => 0.01 ** Math.max(0, (t - 0.3) / 3));
    expect(reason(fadeDuration, slow)).toBe('no-plateau');
    // 1.41 times too slow, and a hold so short that the light hardly moves in it: the end is no plateau all the same.
    const long = [
      { from: 0, to: 2, startLevel: 1, endLevel: 1 },
      { from: 2, to: 66, startLevel: 1, endLevel: 0.01 },
      { from: 66, to: 70, startLevel: 0.01, endLevel: 0.01 },
    ];
    const late = observed(
      fadeDuration,
      long,
      { rate: 500 },
      (t) => 0.01 ** Math.min(1, Math.max(0, (t - 2) / 90.51)),
    );
    expect(reason(fadeDuration, late)).toBe('no-plateau');
    const hold = [{ from: 0, to: 2, startLevel: 1, endLevel: 1 }];
    expect(reason(fadeDuration, observed(fadeDuration, hold))).toBe('no-fade');
    expect(fadeDuration.compute(observed(fadeDuration, segments, { rate: 20 }))).toMatchObject({
      reason: 'too-slow',
      needed: 32,
    });
    const noisy = observed(curveDeviation, fade(0.01, 0.0001, 1), { noise: 3e-3 });
    expect(['below-noise', 'no-plateau', 'dark', 'negative-light']).toContain(
      reason(curveDeviation, noisy),
    );
  });

  it('refuse two fades in one window', () => {
    const back = [
      ...fade(1, 0.1, 1),
      ...fade(0.1, 1, 1).map((one) => ({ ...one, from: one.from + 1.8, to: one.to + 1.8 })),
    ];
    expect(reason(fadeDuration, observed(fadeDuration, back))).toBe('no-fade');
    const first = observed(fadeDuration, back, {}, undefined, { window: { from: 0, to: 2 } });
    expect(figure(fadeDuration, first)).toBeCloseTo(1, 3);
  });
});

describe('evidence', () => {
  it('has charts of at most a thousand points a line, and none when it is not wanted', () => {
    const observation = observed(fadeDuration, fade(1, 0.001, 8));
    for (const metric of [fadeDuration, fadeOvershoot, curveDeviation, largestVisibleStep]) {
      const shown = metric.compute({ ...observation, parameters: {} });
      if (!shown.measured) throw new Error(shown.reason);
      expect(shown.evidence.charts.length).toBeGreaterThan(0);
      for (const { lines } of shown.evidence.charts) {
        for (const { x, y } of lines) {
          expect(x.length).toBe(y.length);
          expect(x.length).toBeLessThanOrEqual(1000);
          expect([...x, ...y].every(Number.isFinite)).toBe(true);
        }
      }
      const bare = metric.compute(observation, { evidence: false });
      expect(bare.measured && bare.evidence.charts).toEqual([]);
      expect(bare.measured && bare.value).toBe(shown.value);
    }
  });
});
