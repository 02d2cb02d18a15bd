import { describe, expect, it } from 'vitest';
import { noDarkNoise } from '../../harness/measure/dark-noise.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import { isMeasurable, measured } from '../../harness/measure/outcome.ts';
import type { Signal } from '../../harness/measure/signals.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { type KnownInput, knownInputs } from '../../harness/verdict/known-input.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { recorded } from '../measure/recorded.ts';
import { calibration, level, metricOf, observe, waveform } from './assessed.ts';

const rate = 2000;

interface Shape {
  readonly signal?: Signal;
  readonly of?: string;
  readonly light?: (t: number) => number;
  /** Level from 0 to 1 s, and from there on. */
  readonly commanded?: readonly [number, number, number];
}

/** A second of a signal at full level, and then `rest` seconds of what was commanded. */
function seen({ signal = 'light', of = 'light', light = () => 5, commanded }: Shape): Observation {
  const rest = commanded?.[2] ?? 0;
  const seconds = 1 + rest;
  const samples = Float64Array.from({ length: Math.round(rate * seconds) }, (_, k) =>
    light((k + 0.5) / rate),
  );
  const record = recorded(signal, of, { samples, rate, start: 0, unit: 'V', clipped: 0 });
  const channel = { channel: 'light', lumen: 1, xy: [0.4, 0.4] as const, maxCurrent: 1 };
  const segments = commanded && [
    { from: 0, to: 1, startLevel: commanded[0], endLevel: commanded[0] },
    { from: 1, to: seconds, startLevel: commanded[1], endLevel: commanded[1] },
  ];
  const plain = observe([]);
  return {
    ...plain,
    of,
    records: [record],
    window: { from: 0, to: seconds },
    commanded: {
      ...plain.commanded,
      duration: seconds,
      channels: segments ? [{ ...channel, segments }] : [],
    },
  };
}

function told(
  observation: Observation,
  input: InputCalibration,
  metric: Metric = level,
): KnownInput {
  const inputs = knownInputs(metric, observation, [input]);
  if (!isMeasurable(inputs)) throw new Error(inputs.reason);
  const [only] = inputs;
  if (!only) throw new Error('no input');
  return only;
}

function unstated(part: Partial<InputCalibration> = {}): InputCalibration {
  const { noise: _, dark: __, standardOffset: ___, ...rest } = calibration(part);
  return rest;
}

/** Alternates, so that no spectrum takes it for light that is seen. */
const rough = (size: number) => (t: number) =>
  5 + size * (((Math.round(t * rate - 0.5) ** 2 * 0.6180339887) % 1) - 0.5) * Math.sqrt(12);

describe('what the record tells of an input', () => {
  it('is its white noise, unless that is stated', () => {
    const noisy = seen({ light: rough(0.1) });
    expect(told(noisy, unstated()).noise).toBeGreaterThan(0.08);
    expect(told(noisy, unstated()).noise).toBeLessThan(0.12);
    expect(told(noisy, { ...unstated(), dark: noDarkNoise }).noise).toBeGreaterThan(0.08);
    expect(told(noisy, { ...unstated(), noise: 0.5 }).noise).toBe(0.5);
    expect(told(noisy, { ...unstated(), noise: 0.5, dark: noDarkNoise })).toMatchObject({
      noise: 0.5,
      dark: noDarkNoise,
    });
  });

  it('is nothing of a pin, of light that is never steady, and of a record that is not there', () => {
    for (const signal of ['busy', 'sync'] as const)
      expect(
        told(seen({ signal, of: 'lamp', light: rough(0.1) }), unstated({ signal, of: 'lamp' })),
      ).toMatchObject({ noise: 0, dark: noDarkNoise });
    const mains = { signal: 'mains-current', of: 'lamp' } as const;
    expect(told(seen({ ...mains, light: rough(0.1) }), unstated(mains)).noise).toBeGreaterThan(
      0.08,
    );
    const fading = seen({ light: rough(0.1), commanded: [1, 1, 1] });
    const [channel] = fading.commanded.channels;
    const channels = channel && [
      { ...channel, segments: [{ from: 0, to: 2, startLevel: 0, endLevel: 1 }] },
    ];
    const commanded = { ...fading.commanded, channels: channels ?? [] };
    expect(told({ ...fading, commanded }, unstated()).noise).toBe(0);
    expect(told(observe([]), unstated()).noise).toBe(0);
  });

  it('is the pickup that may be in it, each line by its frequency', () => {
    const hum = (t: number): number =>
      rough(0.001)(t) + 0.01 * Math.sin(314.159265 * t) + 0.01 * Math.sin(628.31853 * t);
    const { notes } = told(seen({ light: hum }), unstated());
    expect(notes['possible-pickup']).toMatch(
      /^light: 50(\.0)? Hz, 100 Hz may be the mains; a record/,
    );
    expect(told(seen({ light: rough(0.001) }), unstated()).notes).not.toHaveProperty(
      'possible-pickup',
    );
    const stated = { ...unstated(), dark: noDarkNoise };
    expect(told(seen({ light: hum }), stated).notes).not.toHaveProperty('possible-pickup');
  });
});

describe('a zero that nobody has stated', () => {
  const noted = (metric: Metric, signal: Signal, of = 'lamp') =>
    'zero-not-stated' in told(seen({ signal, of }), unstated({ signal, of }), metric).notes;

  it('is noted where the value rests on it', () => {
    expect(noted(level, 'light', 'light')).toBe(true);
    expect(noted(level, 'channel-current', 'warm')).toBe(true);
    expect(noted(level, 'mains-current')).toBe(false);
    expect(noted(level, 'colour')).toBe(false);
    expect(noted(metricOf(level.compute, ['scale']), 'light', 'light')).toBe(true);
    expect(noted(metricOf(level.compute, ['offset']), 'light', 'light')).toBe(false);
    const { blindTo: _, ...sighted } = level;
    expect(noted(sighted, 'light', 'light')).toBe(true);
  });

  it('may be off by all that the settled part of a dark stretch shows', () => {
    const dark = (rest: number) =>
      seen({ light: (t) => (t < 1 ? 5 : -0.02), commanded: [1, 0, rest] });
    const needing: Metric = { ...level, needs: { ...level.needs, zero: true } };
    expect(told(dark(1), unstated(), needing).standardOffset).toBeCloseTo(0.02, 9);
    expect(told(dark(1), unstated(), needing).notes).not.toHaveProperty('zero-not-stated');
    expect(told(dark(1), { ...unstated(), standardOffset: 0.3 }).standardOffset).toBe(0.3);
    // Of 0.0070 s the last 0.6 settle: 8 whole samples of 0.5 ms; of 0.006 s 7 do.
    const offset = (rest: number) => told(dark(rest), unstated()).standardOffset;
    expect(offset(0.007)).toBeCloseTo(0.02, 9);
    expect(offset(0.006)).toBe(0);
  });
});

describe('the dark wiring', () => {
  it('goes with the record that it is of, and with no other', () => {
    const two = observe([
      { of: 'warm', samples: [4, 4] },
      { of: 'cool', samples: [4, 4] },
      { of: 'red', samples: [4, 4] },
    ]);
    const lines = (of: string, frequency: number) =>
      calibration({ of, dark: { ...noDarkNoise, lines: [{ frequency, amplitude: 0.1 }] } });
    const seenLines: (number | undefined)[] = [];
    const spy = metricOf((observation) => {
      for (const k of [0, 1, 2]) seenLines.push(waveform(observation, k).dark?.lines[0]?.frequency);
      return measured(1);
    });
    assess(spy, two, [lines('cool', 60), lines('warm', 50)], 2);
    expect(seenLines.slice(0, 3)).toEqual([50, 60, undefined]);
  });

  it("is laid beside a record where it has no lines too: they are the lamp's then", () => {
    const spy = metricOf((observation) => measured('dark' in waveform(observation) ? 1 : 0));
    const { dark: _, ...undarkened } = calibration();
    const heard = (input: InputCalibration) =>
      assess(spy, observe([{ samples: [4, 4] }]), [input], 2).outcome;
    expect(heard(calibration({ dark: { ...noDarkNoise, slow: 0.1 } }))).toMatchObject({ value: 1 });
    expect(heard(undarkened)).toMatchObject({ value: 0 });
  });
});
