import { describe, expect, it } from 'vitest';
import { commandLatency } from '../../../harness/measure/metrics/control/command-latency.ts';
import {
  levelAfterLoss,
  recallLevel,
} from '../../../harness/measure/metrics/control/kept-level.ts';
import { processorLoad } from '../../../harness/measure/metrics/control/processor-load.ts';
import type { Observation, SignalRecord } from '../../../harness/measure/observation.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { figure, reason } from '../current/current-of.ts';
import { fade, lengthOf, levelAt, observe, recordOf, steps } from '../lamp-of.ts';
import { recorded } from '../recorded.ts';

function pin(
  signal: 'busy' | 'sync',
  high: (t: number) => boolean,
  seconds: number,
  rate = 100_000,
): SignalRecord {
  const samples = Float32Array.from({ length: Math.round(seconds * rate) }, (_, k) =>
    high((k + 0.5) / rate) ? 3.3 : 0,
  );
  return recorded(signal, signal, { samples, rate, start: 0, unit: 'V', clipped: 0 });
}

describe('processor load', () => {
  const load = (busy: (t: number) => boolean): Observation =>
    observe(processorLoad, [], 'lamp', {
      records: [pin('busy', busy, 1)],
      window: { from: 0, to: 1 },
    });

  it.each([0.1, 0.5, 0.93, 1])('is the part of the time that the pin is high: %f', (duty) => {
    expect(
      figure(
        processorLoad,
        load((t) => (t * 1000) % 1 < duty),
      ),
    ).toBeCloseTo(duty, 6);
  });

  it('says when it was highest', () => {
    const outcome = processorLoad.compute(load((t) => t > 0.5 && t < 0.51));
    expect(outcome.measured && outcome.value).toBeCloseTo(0.01, 6);
    expect(outcome.measured && Number(outcome.evidence.notes['highest-within-10-ms'])).toBeCloseTo(
      1,
      2,
    );
  });

  const sampledLoad = (frequency: number, duty: number, phase: number, rate: number) => {
    const busy = (t: number) => (t * frequency + phase) % 1 < duty;
    const observation = observe(processorLoad, [], 'lamp', {
      records: [pin('busy', busy, 0.5, rate)],
      window: { from: 0, to: 0.5 },
    });
    return assess(processorLoad, observation, [], 2);
  };

  it.each([
    [1000, 'every stretch alike'],
    [1000.4, 'nearly alike'],
    [1333.3333, 'in three ways'],
    [997.3, 'every stretch differently'],
  ])('at %f Hz holds the true duty, with the edges %s', (frequency) => {
    let misses = 0;
    for (let place = 0; place < 100; place++) {
      const duty = 0.15 + 0.007 * place;
      const assessed = sampledLoad(frequency, duty, (place * 0.618) % 1, 20_000);
      if (!('expanded' in assessed)) throw new Error('refused');
      if (Math.abs(assessed.outcome.value - duty) > assessed.expanded) misses++;
    }
    expect(misses).toBeLessThanOrEqual(6);
  });

  it('is not told of a pin that never rises', () => {
    expect(
      reason(
        processorLoad,
        load(() => false),
      ),
    ).toBe('unresolved');
  });

  it.each([
    [3333.3, 0.05],
    [1000, 0.0101],
    [997, 0.985],
  ])('at %f Hz and %f is refused: pulses or gaps are shorter than a sample', (frequency, duty) => {
    const { outcome } = sampledLoad(frequency, duty, 0.01, 20_000);
    expect(outcome).toMatchObject({ measured: false, reason: 'unresolved' });
  });

  it('needs the pin, and sound samples', () => {
    expect(reason(processorLoad, { ...load(() => true), records: [] })).toBe('no-record');
    expect(reason(processorLoad, { ...load(() => true), window: { from: 2, to: 3 } })).toBe(
      'empty',
    );
    const broken = pin('busy', () => true, 1);
    broken.waveform.samples[7] = Number.NaN;
    expect(reason(processorLoad, { ...load(() => true), records: [broken] })).toBe('not-finite');
  });
});

describe('command latency', () => {
  const commanded = 0.5;
  const jump = (
    delay: number,
    modulator: 'none' | 'pulse-density' | 'pulse-width',
    from = 0.2,
    to = 0.8,
  ): Observation => {
    const segments = steps([
      [from, commanded],
      [to, 0.5],
    ]);
    const waveform = recordOf((t) => levelAt(segments, t - delay), 1, { modulator, noise: 1e-3 });
    const window = { from: commanded, to: 1 };
    return observe(commandLatency, [{ channel: 'warm', segments, waveform }], 'warm', { window });
  };

  it.each([
    [0, 'none'],
    [0.012, 'none'],
    [0.012, 'pulse-density'],
    [0.1, 'pulse-density'],
    [0.03, 'pulse-width'],
  ] as const)('of %f s through modulator %s is found within 0.6 ms', (delay, modulator) => {
    expect(Math.abs(figure(commandLatency, jump(delay, modulator)) - delay)).toBeLessThan(6e-4);
    expect(Math.abs(figure(commandLatency, jump(delay, modulator, 0.8, 0.2)) - delay)).toBeLessThan(
      6e-4,
    );
  });

  it('is known no better than the instant of the command, unless the sync pin tells it', () => {
    const exact = jump(0.03, 'none');
    const commandedStory = { ...exact.commanded, standardInstant: 4e-3 };
    const story = { ...exact, commanded: commandedStory };
    const standards = (observation: Observation): number[] => {
      const outcome = commandLatency.compute(observation);
      const all = outcome.measured ? (outcome.contributions ?? []) : [];
      return all
        .filter(({ name }) => name === 'instant of the command')
        .map(({ standard }) => standard);
    };
    expect(standards(exact)).toEqual([0]);
    expect(standards(story)).toEqual([4e-3]);
    const sync = pin('sync', (t) => t > commanded + 0.02 && t < commanded + 0.021, 1);
    expect(standards({ ...story, records: [...story.records, sync] })[0]).toBeLessThan(1e-3);
  });

  it('of a light that changed before its command is found where the instants allow it', () => {
    const early = jump(-0.03, 'none');
    expect(reason(commandLatency, early)).toBe('no-edge');
    const story = { ...early.commanded, standardInstant: 0.015 };
    const told = { ...early, commanded: story };
    expect(Math.abs(figure(commandLatency, told) + 0.03)).toBeLessThan(6e-4);
  });

  it('counts from the sync pin where there is one', () => {
    const observation = jump(0.03, 'none');
    const sync = pin('sync', (t) => t > commanded + 0.02 && t < commanded + 0.021, 1);
    const records = [...observation.records, sync];
    expect(Math.abs(figure(commandLatency, { ...observation, records }) - 0.01)).toBeLessThan(3e-4);
  });

  it('of a fade is where its line leaves the plateau', () => {
    const segments = fade(1, 0.01, 1);
    const waveform = recordOf(
      (t) => levelAt(segments, Math.min(t - 0.02, 1.2999)),
      lengthOf(segments),
      {},
    );
    const channel = { channel: 'warm', segments, waveform };
    expect(
      Math.abs(figure(commandLatency, observe(commandLatency, [channel], 'warm')) - 0.02),
    ).toBeLessThan(1e-3);
  });

  it('is not told of a short fade that a slow modulator hides: no light comes before its command', () => {
    // 301 Hz, half on, brighter from 30 ms after a fade of 20 ms was commanded; such a record once read -0.26 ± 0.13 s.
    const segments = fade(0.1, 1, 0.02, { before: 1, after: 2 });
    const rate = 20_000;
    const samples = Float64Array.from({ length: 60_400 }, (_, k) =>
      ((k * 301) / rate) % 1 < 0.5 ? (k / rate < 1.03 ? 0.2 : 2) : 0,
    );
    const waveform: Waveform = { samples, rate, start: 0, unit: 'lx', clipped: 0 };
    const outcome = commandLatency.compute(
      observe(commandLatency, [{ channel: 'warm', segments, waveform }], 'warm'),
    );
    if (outcome.measured) expect(outcome.value).toBeGreaterThan(0);
    else expect(outcome.reason).toBe('unresolved');
  });

  it('is not told where nothing is commanded or nothing happens', () => {
    const still = steps([[0.5, 1]]);
    const held = { channel: 'warm', segments: still, waveform: recordOf(() => 0.5, 1) };
    expect(reason(commandLatency, observe(commandLatency, [held], 'warm'))).toBe('no-fade');
    expect(reason(commandLatency, jump(0.6, 'none'))).toBe('no-edge');
    expect(reason(commandLatency, { ...jump(0.01, 'none'), records: [] })).toBe('no-record');
  });
});

describe.each([levelAfterLoss, recallLevel])('$id', (metric) => {
  const windows = { reference: { from: 0, to: 1 }, window: { from: 2, to: 3 } };
  const lamp = (after: number): Observation => {
    const waveform = recordOf((t) => (t < 1 ? 0.4 : t < 2 ? 0 : after), 3, { noise: 1e-4 });
    const channel = { channel: 'warm', segments: steps([[0.4, 3]]), waveform };
    return observe(metric, [channel], 'warm', windows);
  };

  it.each([0.4, 0.2, 0])('is what is left of the level before: %f of 0.4', (after) => {
    expect(figure(metric, lamp(after))).toBeCloseTo(after / 0.4, 3);
  });

  it('needs light before', () => {
    const { reference: _, ...without } = lamp(0.4);
    expect(reason(metric, without)).toBe('no-reference');
  });
});
