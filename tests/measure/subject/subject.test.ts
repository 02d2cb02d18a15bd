import { describe, expect, it } from 'vitest';
import type { Need } from '../../../harness/measure/metric.ts';
import type {
  ColourReading,
  Commanded,
  CommandedChannel,
  Observation,
  Segment,
  SignalRecord,
} from '../../../harness/measure/observation.ts';
import type { Signal } from '../../../harness/measure/signals.ts';
import { chooseRecord } from '../../../harness/measure/subject/choose-record.ts';
import { readingsIn } from '../../../harness/measure/subject/colour-readings.ts';
import {
  channelLevel,
  commandedLevel,
  commandedMean,
  isSteady,
  turningPoints,
  weightedChannels,
} from '../../../harness/measure/subject/commanded-light.ts';
import {
  lampRecord,
  soundPart,
  soundRecord,
  subjectRecord,
  whyUnsound,
} from '../../../harness/measure/subject/sound-record.ts';
import { longestDark, longestSteady } from '../../../harness/measure/subject/steady-stretch.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { recorded } from '../recorded.ts';

/** A channel whose segments are written [from, to, start, end]. */
function channel(
  name: string,
  lumen: number,
  ...segments: readonly (readonly [number, number, number, number])[]
): CommandedChannel {
  return {
    channel: name,
    lumen,
    xy: [0.4, 0.4],
    maxCurrent: 0.1,
    segments: segments.map(
      ([from, to, startLevel, endLevel]): Segment => ({ from, to, startLevel, endLevel }),
    ),
  };
}

function commanding(
  channels: readonly CommandedChannel[],
  kind: 'linear' | 'logarithmic' = 'linear',
): Commanded {
  return { channels, marks: [], duration: 10, curve: { kind, bottom: 0.001 } };
}

/** 100 samples a second from `start`, k-th sample 100 + k unless `value` says otherwise. */
function waveform(
  start: number,
  seconds: number,
  value: (k: number) => number = (k) => 100 + k,
  rest: Partial<Waveform> = {},
): Waveform {
  const samples = Float64Array.from({ length: Math.round(100 * seconds) }, (_, k) => value(k));
  return { samples, rate: 100, start, unit: 'lx', clipped: 0, ...rest };
}

function observing(records: readonly SignalRecord[], rest: Partial<Observation> = {}): Observation {
  return {
    of: 'light',
    window: { from: 0, to: 2 },
    records,
    colour: [],
    frames: [],
    commanded: commanding([]),
    parameters: {},
    ...rest,
  };
}

describe('the record that a metric is about', () => {
  const candidate = (signal: Signal, of: string, from: number, to: number) => ({
    ...{ signal, of, window: { from, to } },
  });
  const window = { from: 0, to: 4 };

  it('is of its subject, by the signal named first', () => {
    const all = [
      candidate('channel-current', 'warm', 0, 4),
      candidate('light', 'cool', 0, 4),
      candidate('light', 'warm', 0, 4),
    ];
    const of = (signals: readonly Signal[], whose = 'warm') =>
      chooseRecord(all, { of: whose, signals, window });
    expect(of(['light', 'channel-current'])).toBe(all[2]);
    expect(of(['channel-current', 'light'])).toBe(all[0]);
    expect(of(['supply-current', 'channel-current'])).toBe(all[0]);
    expect(of(['supply-current'])).toBe(undefined);
    expect(of(['light'], 'white')).toBe(undefined);
  });

  it('is, of several, the one that shares most with the window, the first of equals', () => {
    const all = [
      candidate('light', 'light', 0, 1),
      candidate('light', 'light', 1, 3.5),
      candidate('light', 'light', 1.5, 9),
      candidate('light', 'light', -9, 2),
    ];
    const of = (from: number, to: number) =>
      chooseRecord(all, { of: 'light', signals: ['light'], window: { from, to } });
    expect(of(0, 4)).toBe(all[1]);
    expect(of(2, 9)).toBe(all[2]);
    expect(of(-5, 1)).toBe(all[3]);
    expect(of(1, 2)).toBe(all[1]);
  });

  it('is the only one of its signal where the lamp or the signal itself is named', () => {
    const only = [candidate('mains-current', 'mains-current', 0, 1)];
    const of = (whose: string, all = only) =>
      chooseRecord(all, { of: whose, signals: ['mains-voltage', 'mains-current'], window });
    expect(of('lamp')).toBe(only[0]);
    expect(of('mains-current')).toBe(only[0]);
    expect(of('mains-voltage')).toBe(undefined);
    expect(of('warm')).toBe(undefined);
    const channels = [candidate('light', 'warm', 0, 1), candidate('light', 'cool', 0, 1)];
    const light = (all: typeof channels, whose: string) =>
      chooseRecord(all, { of: whose, signals: ['light'], window });
    expect(light(channels, 'lamp')).toBe(undefined);
    expect(light(channels.slice(0, 1), 'lamp')).toBe(channels[0]);
    expect(light(channels.slice(0, 1), 'light')).toBe(channels[0]);
  });

  it('is none, and the reason says of what', () => {
    expect(subjectRecord(observing([]), ['light', 'channel-current'])).toEqual({
      ...{ measured: false, reason: 'no-record', note: 'no light or channel-current of light' },
    });
  });

  it('goes by the window of the criterion where none is named', () => {
    const [early, late] = [
      recorded('light', 'light', waveform(0, 1)),
      recorded('light', 'light', waveform(1, 3)),
    ];
    const both = observing([early, late], { window: { from: 0, to: 1.2 } });
    expect(subjectRecord(both, ['light'])).toBe(early);
    expect(subjectRecord(both, ['light'], { from: 0.9, to: 3 })).toBe(late);
  });

  it('of a pin is the lamp’s, whatever the subject', () => {
    const busy = recorded('busy', 'busy', waveform(0, 1));
    expect(lampRecord(observing([busy], { of: 'warm' }), 'busy')).toBe(busy);
    expect(lampRecord(observing([busy], { of: 'warm' }), 'sync')).toMatchObject({
      note: 'no sync of sync',
    });
  });
});

describe('a sound record', () => {
  const need: Need = { signals: ['light'], scope: 'one' };
  const light = (given: Waveform, signal: Signal = 'light') => recorded(signal, signal, given);
  const why = (given: Waveform, more: Partial<Need> = {}, window = { from: 0, to: 2 }) =>
    whyUnsound(light(given), { ...need, ...more }, window);

  it('is whole, or cut to a window', () => {
    const all = observing([light(waveform(0, 2))]);
    expect(soundRecord(all, need)).toMatchObject({ samples: { length: 200 }, start: 0 });
    const part = soundPart(all, need, { from: 0.5, to: 1.25 });
    expect(part).toMatchObject({ start: 0.5, rate: 100 });
    expect('samples' in part && [part.samples.length, part.samples[0]]).toEqual([75, 150]);
    expect(soundPart(all, need)).toMatchObject({ samples: { length: 200 } });
    expect(soundPart(observing([]), need)).toMatchObject({ reason: 'no-record' });
    expect(soundPart(all, need, { from: 5, to: 6 })).toMatchObject({ reason: 'empty' });
  });

  it('is as fast as the need says, a thousandth less at the most', () => {
    expect(why(waveform(0, 2), { rate: 100 })).toBe(null);
    expect(why(waveform(0, 2), { rate: 100 / 0.9995 })).toBe(null);
    expect(why(waveform(0, 2, undefined, { rate: 100 / 1.0015 }), { rate: 100 })).toEqual({
      ...{ measured: false, reason: 'too-slow', found: 100 / 1.0015, needed: 100 },
      ...{ unit: 'Hz', note: 'light' },
    });
    expect(why(waveform(0, 2), { rate: 200 })?.reason).toBe('too-slow');
  });

  it('is as long as the need says, but for a thousandth and half a sample', () => {
    expect(why(waveform(0, 2), { duration: 2 })).toBe(null);
    expect(why(waveform(0, 1.99), { duration: 1.99 / 0.9995 })).toBe(null);
    // 1.99 s against 2 · 0.999 - 0.005 = 1.993.
    expect(why(waveform(0, 1.99), { duration: 2 })).toEqual({
      ...{ measured: false, reason: 'too-short', found: 1.99, needed: 2, unit: 's', note: 'light' },
    });
    // 2 s against 2.007 · 0.999 - 0.005 = 1.99999.
    expect(why(waveform(0, 2), { duration: 2.007 })).toBe(null);
    expect(why(waveform(0, 2), { duration: 1.5 }, { from: 0, to: 1 })?.reason).toBe('too-short');
    expect(why(waveform(0, 2), { duration: 1 }, { from: 1, to: 2 })).toBe(null);
  });

  it('sees as high frequencies as the need says, where it is known how high', () => {
    const narrow = waveform(0, 2, undefined, { bandwidth: 1000 });
    expect(why(narrow, { bandwidth: 1000 })).toBe(null);
    expect(why(narrow, { bandwidth: 1001 })).toEqual({
      ...{ measured: false, reason: 'too-narrow', found: 1000, needed: 1001 },
      ...{ unit: 'Hz', note: 'light' },
    });
    expect(why(narrow)).toBe(null);
    expect(why(waveform(0, 2), { bandwidth: 1001 })).toBe(null);
  });

  it('has samples in the window', () => {
    expect(why(waveform(0, 2), {}, { from: 3, to: 4 })).toEqual({
      ...{ measured: false, reason: 'empty', note: 'light' },
    });
  });

  it('is without defects there, and only there', () => {
    const bad = waveform(0, 2, (k) => (k === 150 ? Number.NaN : 5));
    expect(why(bad)).toEqual({ measured: false, reason: 'not-finite', note: 'light' });
    expect(why(bad, {}, { from: 0, to: 1 })).toBe(null);
    const clipped = waveform(0, 2, undefined, { clipped: 3 });
    expect(why(clipped)?.reason).toBe('saturated');
    const pin = light(clipped, 'busy');
    expect(whyUnsound(pin, need, { from: 0, to: 2 })?.reason).toBe('saturated');
    expect(whyUnsound(pin, need, { from: 0, to: 2 }, { clipped: true })).toBe(null);
  });

  it('is not negative where its signal cannot be', () => {
    const below = waveform(0, 2, () => -5);
    expect(why(below)?.reason).toBe('negative-light');
    expect(whyUnsound(light(below, 'mains-current'), need, { from: 0, to: 2 })).toBe(null);
    expect(soundRecord(observing([light(below)]), need)).toMatchObject({
      reason: 'negative-light',
    });
  });
});

describe('colour readings in a window', () => {
  const reading = (at: number, rest: Partial<ColourReading> = {}): ColourReading => ({
    ...{ capture: 'colour', of: 'lamp', at, integration: 0.2, X: 9, Y: 10, Z: 8, state: 'good' },
    ...rest,
  });
  const found = (colour: readonly ColourReading[], of = 'lamp') =>
    readingsIn(observing([], { colour, of }), { from: 1, to: 2 });

  it('are those that lie wholly in it, a microsecond off at the most', () => {
    const all = [0.9, 1.05, 1.1 - 9e-7, 1.5, 1.9 + 9e-7, 1.95, 2.2].map((at) => reading(at));
    expect(found(all)).toEqual([all[2], all[3], all[4]]);
    expect(found([reading(1.1 - 2e-6), reading(1.9 + 2e-6)])).toMatchObject({ reason: 'empty' });
  });

  it('are the lamp’s for light and colour, and a channel’s for a channel', () => {
    const [lamp, warm] = [reading(1.5), reading(1.5, { of: 'warm' })];
    for (const of of ['lamp', 'light', 'colour']) expect(found([lamp, warm], of)).toEqual([lamp]);
    expect(found([lamp, warm], 'warm')).toEqual([warm]);
    expect(found([lamp], 'cool')).toEqual({
      ...{ measured: false, reason: 'empty', note: 'no colour reading of cool in the window' },
    });
    expect(found([])).toEqual({
      ...{ measured: false, reason: 'no-record', note: 'no colour readings' },
    });
  });

  it.each([
    ['saturated', { state: 'saturated' }, {}],
    ['below-noise', { state: 'under-range' }, { note: 'colour sensor under range' }],
    ['not-finite', { X: Number.NaN }, {}],
    ['not-finite', { Z: Number.POSITIVE_INFINITY }, {}],
    ['negative-light', { Z: -0.21 }, {}],
    ['negative-light', { X: -0.3, Y: -10, Z: -2 }, {}],
    ['dark', { X: 0, Y: 0, Z: 0 }, {}],
    ['dark', { Y: 0 }, {}],
    ['negative-light', { X: -0.01, Y: 0.001, Z: -0.01 }, {}],
  ] as const)('are refused as %s for one that is %o', (reason, bad, note) => {
    expect(found([reading(1.4), reading(1.5, bad), reading(1.6)])).toEqual({
      ...{ measured: false, reason, ...note },
    });
  });

  it('may be a little below zero near the floor: 2 % of the largest of the three', () => {
    expect(found([reading(1.5, { Z: -0.19 })])).toHaveLength(1);
    expect(found([reading(1.5, { X: -0.19, Z: 0 })])).toHaveLength(1);
  });
});

describe('commanded light', () => {
  const warm = channel('warm', 300, [0, 2, 0.5, 0.5], [2, 4, 0.5, 0.1], [4, 10, 0.1, 0.1]);
  const cool = channel('cool', 100, [0, 3, 1, 1], [3, 10, 0, 0]);
  const subject = (of: string, kind: 'linear' | 'logarithmic' = 'linear') => ({
    ...{ of, commanded: commanding([warm, cool], kind) },
  });

  it('is of one channel, or of all by lumen', () => {
    expect(weightedChannels(subject('cool'))).toEqual([{ channel: cool, weight: 1 }]);
    expect(weightedChannels(subject('light')).map(({ weight }) => weight)).toEqual([0.75, 0.25]);
    const dark = [channel('a', 0, [0, 1, 1, 1])];
    expect(weightedChannels({ of: 'light', commanded: commanding(dark) })[0]?.weight).toBe(0);
  });

  it('goes straight on a linear curve, by equal factors on a logarithmic one', () => {
    const linear = { kind: 'linear', bottom: 0.001 } as const;
    const log = { kind: 'logarithmic', bottom: 0.001 } as const;
    for (const [at, straight, factors] of [
      [-1, 0.5, 0.5],
      [0, 0.5, 0.5],
      [1.9, 0.5, 0.5],
      [2.5, 0.4, 0.5 * 0.2 ** 0.25],
      [3, 0.3, Math.sqrt(0.05)],
      [4, 0.1, 0.1],
      [7, 0.1, 0.1],
      [12, 0.1, 0.1],
    ] as const) {
      expect(channelLevel(warm, linear, at), `${at}`).toBeCloseTo(straight, 12);
      expect(channelLevel(warm, log, at), `${at}`).toBeCloseTo(factors, 12);
    }
    // From or to nothing there is no factor.
    const up = channel('up', 1, [0, 4, 0, 0.8], [4, 8, 0.8, 0]);
    expect(channelLevel(up, log, 1)).toBeCloseTo(0.2, 12);
    expect(channelLevel(up, log, 5)).toBeCloseTo(0.6, 12);
    expect(channelLevel(channel('none', 1), linear, 1)).toBe(0);
  });

  it('changes at once where a segment takes no time, and the later one holds at its start', () => {
    const step = channel('step', 1, [0, 1, 0.2, 0.2], [1, 1, 0.2, 0.9], [1, 3, 0.9, 0.9]);
    const curve = { kind: 'linear', bottom: 0.001 } as const;
    expect([0.99, 1, 1.01].map((at) => channelLevel(step, curve, at))).toEqual([0.2, 0.9, 0.9]);
    const last = channel('last', 1, [0, 1, 0.2, 0.2], [1, 1, 0.2, 0.9]);
    expect(channelLevel(last, curve, 2)).toBeCloseTo(0.9, 12);
  });

  it('is found among very many segments', () => {
    const many = channel(
      'many',
      1,
      ...Array.from({ length: 1001 }, (_, k) => [k, k + 1, k / 1001, k / 1001] as const),
    );
    const curve = { kind: 'linear', bottom: 0.001 } as const;
    for (const at of [0, 0.5, 1, 499.5, 500, 999.99, 1000])
      expect(channelLevel(many, curve, at)).toBe(Math.floor(at) / 1001);
  });

  it('adds up over the channels', () => {
    expect(commandedLevel(subject('light'), 1)).toBeCloseTo(0.75 * 0.5 + 0.25, 12);
    expect(commandedLevel(subject('light'), 3)).toBeCloseTo(0.75 * 0.3, 12);
    expect(commandedLevel(subject('warm'), 3)).toBeCloseTo(0.3, 12);
  });

  it('has a mean over a window', () => {
    expect(commandedMean(subject('warm'), { from: 2, to: 4 })).toBeCloseTo(0.3, 12);
    expect(commandedMean(subject('warm'), { from: 0, to: 4 })).toBeCloseTo(0.4, 12);
    expect(commandedMean(subject('light'), { from: 0, to: 1 })).toBeCloseTo(0.625, 12);
    expect(commandedMean(subject('warm'), { from: 3, to: 3 })).toBeCloseTo(0.3, 12);
    // A logarithmic fade: (0.1 - 0.5)/ln(0.1/0.5).
    expect(commandedMean(subject('warm', 'logarithmic'), { from: 2, to: 4 })).toBeCloseTo(
      0.4 / Math.log(5),
      5,
    );
  });

  it('turns where a segment begins, inside the window alone, each instant once', () => {
    const points = (of: string, from: number, to: number) =>
      turningPoints(subject(of), { from, to });
    expect(points('light', 0, 10)).toEqual([2, 3, 4]);
    expect(points('warm', 0, 10)).toEqual([2, 4]);
    expect(points('light', 2, 4)).toEqual([3]);
    expect(points('light', 5, 9)).toEqual([]);
    const twins = commanding([
      channel('a', 1, [0, 2, 1, 1], [2, 9, 0, 0]),
      channel('b', 1, [0, 2, 1, 1], [2, 9, 0, 0]),
    ]);
    expect(turningPoints({ of: 'light', commanded: twins }, { from: 0, to: 9 })).toEqual([2]);
  });

  it('is steady where every channel stays at one level', () => {
    const steady = (of: string, from: number, to: number) => isSteady(subject(of), { from, to });
    expect(steady('warm', 0, 2)).toBe(true);
    expect(steady('warm', 0, 2.1)).toBe(false);
    expect(steady('warm', 4, 9)).toBe(true);
    expect(steady('warm', 3.9, 9)).toBe(false);
    expect(steady('light', 0, 2)).toBe(true);
    expect(steady('light', 4, 10)).toBe(true);
    expect(steady('cool', 1, 5)).toBe(false);
    expect(steady('cool', 3, 5)).toBe(true);
    expect(steady('cool', 12, 15)).toBe(true);
    const same = commanding([channel('a', 1, [0, 2, 0.4, 0.4], [2, 9, 0.4, 0.4])]);
    expect(isSteady({ of: 'a', commanded: same }, { from: 0, to: 9 })).toBe(true);
  });
});

describe('the longest stretch of one level', () => {
  const lamp = commanding([
    channel('warm', 1, [0, 3, 0.5, 0.5], [3, 4, 0.5, 0.2], [4, 9, 0.2, 0.2], [9, 10, 0, 0]),
  ]);
  const record = recorded('light', 'warm', waveform(0, 10));
  const span = (found: Waveform | null) =>
    found && [found.start, found.start + found.samples.length / found.rate];

  it('leaves out the part in which a change may still be on its way', () => {
    // 3 s from the start of the record, and 60 % of 5 s.
    expect(span(longestSteady(record, lamp, { from: 0, to: 10 }))).toEqual([0, 3]);
    // Of 2.5 … 9: 0.5 s, and 4 + 0.4 · 5 … 9.
    expect(span(longestSteady(record, lamp, { from: 2.5, to: 10 }))).toEqual([6, 9]);
    expect(span(longestSteady(record, lamp, { from: 2.5, to: 7 }))).toEqual([5.2, 7]);
    expect(span(longestSteady(record, lamp, { from: 4.5, to: 7 }))).toEqual([4.5, 7]);
  });

  it('is the whole window where nobody has said what was commanded, within the record', () => {
    expect(span(longestSteady(record, commanding([]), { from: 2, to: 3 }))).toEqual([2, 3]);
    expect(span(longestSteady(record, commanding([]), { from: -2, to: 30 }))).toEqual([0, 10]);
  });

  it('is none within a fade', () => {
    expect(longestSteady(record, lamp, { from: 3.1, to: 3.9 })).toBe(null);
  });

  it('in the dark is one where nothing was commanded', () => {
    const [from = 0, to] = span(longestDark(record, lamp)) ?? [];
    expect(from).toBeCloseTo(9.4, 9);
    expect(to).toBeCloseTo(10, 9);
    expect(longestDark(record, commanding([]))).toBe(null);
    expect(longestDark(record, commanding([channel('warm', 1, [0, 10, 0.5, 0.5])]))).toBe(null);
    const mostly = commanding([channel('warm', 1, [0, 2, 0, 0], [2, 4, 0.5, 0.5], [4, 10, 0, 0])]);
    expect(span(longestDark(record, mostly))).toEqual([6.4, 10]);
    // Of another channel: the lamp is lit though this one is dark.
    const other = recorded('light', 'light', waveform(0, 10));
    const two = commanding([channel('warm', 1, [0, 10, 0, 0]), channel('cool', 1, [0, 10, 1, 1])]);
    expect(longestDark(other, two)).toBe(null);
    expect(span(longestDark(record, two))).toEqual([0, 10]);
  });
});
