import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { blackouts, flashes } from '../../../harness/measure/metrics/level/event-count.ts';
import {
  longestBlackout,
  longestFlash,
} from '../../../harness/measure/metrics/level/event-length.ts';
import { deepestDip, highestFlash } from '../../../harness/measure/metrics/level/event-size.ts';
import type { Measured, Outcome } from '../../../harness/measure/outcome.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { fade, lengthOf, levelAt, type Made, observe, recordOf, steps } from '../lamp-of.ts';
import { changedRecord } from '../recorded.ts';
import { wellFormed } from '../well-formed.ts';

/** A stretch in which the light is a multiple of what it should be. */
interface Event {
  readonly at: number;
  readonly lasts: number;
  readonly factor: number;
}

function lamp(
  metric: Metric,
  segments: ReturnType<typeof steps>,
  events: readonly Event[],
  made: Made = {},
  late = 0,
) {
  const factor = (t: number) =>
    events.find(({ at, lasts }) => t >= at && t < at + lasts)?.factor ?? 1;
  const level = (t: number) => levelAt(segments, t - late) * factor(t);
  const waveform = recordOf(level, lengthOf(segments), { rate: 16_000, ...made });
  return observe(metric, [{ channel: 'warm', segments, waveform }], 'warm');
}

function measuredBy(
  metric: Metric,
  ...rest: Parameters<typeof outcomeOf> extends [Metric, ...infer R] ? R : never
): Measured {
  const outcome = outcomeOf(metric, ...rest);
  if (!outcome.measured) throw new Error(JSON.stringify(outcome));
  return outcome;
}

function outcomeOf(
  metric: Metric,
  segments: ReturnType<typeof steps>,
  events: readonly Event[],
  made: Made = {},
  late = 0,
): Outcome {
  return wellFormed(metric, lamp(metric, segments, events, made, late));
}

const steady = steps([[0.5, 1]]);
const down = fade(1, 0.001, 0.7);
const up = fade(0.001, 1, 0.7);
const lengths = [1, 1.7, 3, 9, 20].map((ms) => ms / 1000);

describe('blackouts', () => {
  it.each(lengths)('of %f s are counted and have their length, in steady light', (lasts) => {
    const events = [0.21037, 0.6].map((at) => ({ at, lasts, factor: 0 }));
    expect(measuredBy(blackouts, steady, events).value).toBe(2);
    // Closed form: the record's own steps of 62.5 µs are all that can be lost.
    expect(Math.abs(measuredBy(longestBlackout, steady, events).value - lasts)).toBeLessThan(
      1.3e-4,
    );
    expect(measuredBy(deepestDip, steady, events).value).toBeGreaterThan(0.985);
    expect(measuredBy(flashes, steady, events).value).toBe(0);
  });

  it.each(lengths)('of %f s are counted within fades down and up', (lasts) => {
    for (const segments of [down, up]) {
      const events = [0.45, 0.8].map((at) => ({ at, lasts, factor: 0 }));
      expect(measuredBy(blackouts, segments, events).value).toBe(2);
      expect(Math.abs(measuredBy(longestBlackout, segments, events).value - lasts)).toBeLessThan(
        lasts > 0.01 ? 1e-3 : 3e-4,
      );
      expect(measuredBy(flashes, segments, events).value).toBe(0);
    }
  });

  it('that outlast every neighbourhood are still seen, in steady light and in fades', () => {
    for (const segments of [steady, down, up]) {
      const events = [{ at: 0.5, lasts: 0.15, factor: 0 }];
      expect(measuredBy(blackouts, segments, events).value).toBe(1);
      expect(measuredBy(deepestDip, segments, events).value).toBeGreaterThan(0.99);
    }
    const events = [{ at: 0.4, lasts: 0.15, factor: 0 }];
    expect(measuredBy(flashes, steady, events).value).toBe(0);
    expect(measuredBy(longestBlackout, steady, events).value).toBeCloseTo(0.15, 3);
  });

  it('at the ends of the window are seen', () => {
    for (const at of [0, 0.98]) {
      const events = [{ at, lasts: 0.02, factor: 0 }];
      expect(measuredBy(blackouts, steady, events).value).toBe(1);
    }
  });

  it('are none in fades, jumps and late answers of a healthy lamp, through its modulator', () => {
    const jumps = steps([
      [0.1, 0.3],
      [1, 0.3],
      [0.02, 0.3],
      [0.5, 0.3],
    ]);
    // The test's modulator is slow: below 2 % its own pauses are as long as an event.
    for (const segments of [steady, fade(1, 0.02, 0.7), fade(0.02, 1, 0.7), jumps])
      for (const late of [0, 0.03])
        for (const modulator of ['none', 'pulse-density'] as const)
          for (const metric of [blackouts, flashes]) {
            const made = { modulator, noise: 1e-5 };
            const { value, floor } = measuredBy(metric, segments, [], made, late);
            expect([value, floor], `${metric.id} ${late} ${modulator}`).toEqual([0, 0]);
          }
  });

  it('are none in pulses whose pauses are half as long as an event', () => {
    // 1 kHz, half on: dark for 0.5 ms at a time; its mean over 1 ms does not move (outside check).
    const made = lamp(blackouts, steady, []);
    const [record] = made.records;
    const samples = record!.waveform.samples.map((_, k) => (k % 16 < 8 ? 1 : 0));
    const records = [changedRecord(record!, { samples })];
    for (const metric of [blackouts, flashes])
      expect(metric.compute({ ...made, records })).toMatchObject({ measured: true, value: 0 });
  });

  it('hardly deeper than the threshold have their length within U', () => {
    const events = [{ at: 0.5, lasts: 6e-3, factor: 0.47 }];
    expect(measuredBy(longestBlackout, steady, events).value).toBeCloseTo(6e-3, 4);
  });

  it('are told of a record that hum drawn anew would take below zero', () => {
    const observation = lamp(blackouts, steady, [{ at: 0.5, lasts: 0.04, factor: 0 }]);
    const dark = { slow: 0, lines: [{ frequency: 50, amplitude: 0.02 }], drift: 0 };
    const { capture, signal, of } = observation.records[0]!;
    const input = { capture, signal, of, standardScale: 0, timeBase: 0, step: 0, noise: 0, dark };
    const assessed = assess(blackouts, observation, [{ ...input, standardOffset: 0 }], 2);
    expect(assessed.outcome).toMatchObject({ measured: true, value: 1 });
  });

  it('cannot be shown shorter than half an average: the length says so by its floor', () => {
    const events = [{ at: 0.5, lasts: 2e-4, factor: 0 }];
    const outcome = measuredBy(longestBlackout, steady, events);
    expect(outcome.value).toBe(0);
    expect(outcome.floor).toBeGreaterThan(2e-4);
  });

  it('are counted in the floor where noise may hide them', () => {
    const events = [{ at: 0.5, lasts: 5e-3, factor: 0.51 }];
    const outcome = measuredBy(blackouts, steady, events, { noise: 5e-3 });
    expect(outcome.floor).toBe(1);
  });

  it('are not told in light that is dimmer than its noise allows, nor at a rate that shows none', () => {
    const dim = steps([[0.001, 1]]);
    const noisy = outcomeOf(blackouts, dim, [], { noise: 2e-3 });
    expect(noisy).toMatchObject({ measured: false, reason: 'below-noise' });
    const slow = outcomeOf(blackouts, steady, [], { rate: 2000 });
    expect(slow).toMatchObject({ measured: false, reason: 'too-slow' });
    const dark = outcomeOf(blackouts, steady, [{ at: 0, lasts: 2, factor: 0 }]);
    expect(dark).toMatchObject({ measured: false, reason: 'dark' });
  });

  it('are not told of mixed light that rises and falls at once', () => {
    const [rising, falling] = [fade(0.01, 0.5, 0.7), fade(1, 0.01, 0.7)];
    const made = lamp(blackouts, falling, []);
    const warm = made.commanded.channels[0]!;
    const cool = { ...warm, channel: 'cool', segments: rising };
    const commanded = { ...made.commanded, channels: [warm, cool] };
    const records = made.records.map((record) => ({ ...record, of: 'light' }));
    const outcome = blackouts.compute({ ...made, of: 'light', commanded, records });
    expect(outcome).toMatchObject({ measured: false, reason: 'out-of-domain' });
  });
});

describe('a record of few codes', () => {
  it('states the dip that hides within a code: never 0 ± 0', () => {
    const step = 0.5 / 65;
    const made = lamp(deepestDip, steady, [{ at: 0.5, lasts: 5e-3, factor: 0.994 }]);
    const [record] = made.records;
    const samples = record!.waveform.samples.map((value) => step * Math.round(value / step));
    const records = [changedRecord(record!, { samples, step })];
    for (const metric of [deepestDip, highestFlash]) {
      const outcome = metric.compute({ ...made, records });
      expect(outcome).toMatchObject({ measured: true, value: 0 });
      expect(outcome.measured && outcome.floor).toBeGreaterThan(0.006);
      const assessed = assess(metric, { ...made, records }, [], 2);
      expect('expanded' in assessed && assessed.expanded).toBeGreaterThan(0.006);
    }
  });
});

describe('flashes', () => {
  it.each(lengths)('of %f s are counted and have their length', (lasts) => {
    for (const segments of [steady, down, up]) {
      const events = [0.35, 0.75].map((at) => ({ at, lasts, factor: 3 }));
      expect(measuredBy(flashes, segments, events).value).toBe(2);
      const length = measuredBy(longestFlash, segments, events).value;
      expect(Math.abs(length - lasts)).toBeLessThan(4e-4);
      expect(measuredBy(blackouts, segments, events).value).toBe(0);
    }
    const one = [{ at: 0.4, lasts, factor: 3 }];
    expect(measuredBy(highestFlash, steady, one).value).toBeCloseTo(2, 1);
  });
});

describe('an event at an end of the record', () => {
  const kinds = [
    [longestBlackout, 0],
    [longestFlash, 3],
  ] as const;
  for (const [metric, factor] of kinds)
    it(`${metric.id} is within U`, () => {
      for (const at of [0, 0.996]) {
        const observation = lamp(metric, steady, [{ at, lasts: 4e-3, factor }]);
        const assessed = assess(metric, observation, [], 2);
        if (!('expanded' in assessed)) throw new Error(JSON.stringify(assessed));
        expect(Math.abs(assessed.outcome.value - 4e-3)).toBeLessThanOrEqual(assessed.expanded);
      }
    });
});

describe('the size of an event', () => {
  /** Standard normal numbers would do as well: what counts is that cases differ. */
  function random(seed: number): () => number {
    let state = seed;
    return () => (state = (state * 16807) % 2147483647) / 2147483647;
  }

  it('lies within value ± U, whatever the event, the fade and the noise (95 %)', () => {
    const next = random(7);
    let [outside, cases] = [0, 0];
    for (let run = 0; run < 60; run++) {
      const segments = [steady, down, up][run % 3]!;
      const lasts = 1e-3 + 19e-3 * next();
      const depth = next();
      const at = 0.1 + 0.8 * next();
      const made = { noise: 1e-5 * 10 ** (2 * next()), rate: 8000 + 30_000 * next(), seed: run };
      const observation = lamp(deepestDip, segments, [{ at, lasts, factor: 1 - depth }], made);
      const assessed = assess(deepestDip, observation, [], 2);
      if (!('expanded' in assessed)) continue;
      cases++;
      const { value } = assessed.outcome;
      if (value + assessed.expanded < depth - 1e-9) outside++;
    }
    expect(cases).toBeGreaterThan(30);
    expect(outside / cases).toBeLessThan(0.05);
  });
});
