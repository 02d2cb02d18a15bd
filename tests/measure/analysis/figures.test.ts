import { describe, expect, it } from 'vitest';
import { type Analysis, analysisOf } from '../../../harness/measure/analysis/analysis.ts';
import { blockwiseTrack } from '../../../harness/measure/analysis/blockwise-track.ts';
import { codeChanges } from '../../../harness/measure/analysis/code-changes.ts';
import { colouredWaveform } from '../../../harness/measure/analysis/coloured-waveform.ts';
import { darkFiguresOf } from '../../../harness/measure/analysis/dark-figures.ts';
import { decimated } from '../../../harness/measure/analysis/decimated.ts';
import { type Disturbance, disturb } from '../../../harness/measure/analysis/disturb.ts';
import {
  disturbedWaveform,
  isDisturbed,
  offsetInBuffer,
  withoutNoise,
} from '../../../harness/measure/analysis/disturbed-waveform.ts';
import { edgeDoubt } from '../../../harness/measure/analysis/edge-doubt.ts';
import { estimatedNoise, isOfMains } from '../../../harness/measure/analysis/estimated-noise.ts';
import { hannTrack } from '../../../harness/measure/analysis/hann-track.ts';
import { hiddenByCodes } from '../../../harness/measure/analysis/hidden-by-codes.ts';
import {
  isOfDarkWiring,
  lampLines,
  mayBePickup,
} from '../../../harness/measure/analysis/lamp-lines.ts';
import { linearFigures } from '../../../harness/measure/analysis/linear-figures.ts';
import { meanTrack } from '../../../harness/measure/analysis/mean-track.ts';
import { hannMean, noiselessMean, plainMean } from '../../../harness/measure/analysis/means.ts';
import { quietNoise, recordedNoise } from '../../../harness/measure/analysis/noise.ts';
import { relativeFigure } from '../../../harness/measure/analysis/relative-figure.ts';
import { sampleDefect } from '../../../harness/measure/analysis/sample-defect.ts';
import {
  cut,
  duration,
  lengthOf,
  samplesWithin,
  samplingOf,
  windowed,
} from '../../../harness/measure/analysis/waveform-part.ts';
import { noDarkNoise } from '../../../harness/measure/dark-noise.ts';
import type { ColourReading, Frame, Observation } from '../../../harness/measure/observation.ts';
import { decimate } from '../../../harness/measure/signal/decimate.ts';
import { deviates } from '../../../harness/measure/signal/deviates.ts';
import { hannWeights } from '../../../harness/measure/signal/hann.ts';
import { noiseFloor } from '../../../harness/measure/signal/noise-floor.ts';
import { powerSpectrum } from '../../../harness/measure/signal/power-spectrum.ts';
import { seededNoise } from '../../../harness/measure/signal/seeded-noise.ts';
import { addSlowNoise } from '../../../harness/measure/signal/slow-noise.ts';
import { spectralLines } from '../../../harness/measure/signal/spectral-lines.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { recorded } from '../recorded.ts';

function waveform(
  length: number,
  value: (k: number) => number,
  rest: Partial<Waveform> = {},
): Waveform & { readonly samples: Float64Array } {
  const samples = Float64Array.from({ length }, (_, k) => value(k));
  return { rate: 1000, start: 2, unit: 'lx', clipped: 0, ...rest, samples };
}

const uneven = (k: number) => 5 + Math.sin(k * k);

describe('parts of a waveform', () => {
  const whole = waveform(100, uneven, { bandwidth: 50 });

  it('have a length, a time and a sampling, told without their samples', () => {
    const disturbed = disturbedWaveform(whole, { gain: 2, offset: 0 });
    for (const each of [whole, disturbed]) {
      expect(lengthOf(each)).toBe(100);
      expect(duration(each)).toBe(0.1);
      expect(samplingOf(each)).toEqual({ rate: 1000, start: 2, length: 100, bandwidth: 50 });
    }
    expect(samplingOf(waveform(3, uneven))).not.toHaveProperty('bandwidth');
  });

  it.each([
    [2, 2.1, 0, 100],
    [1, 9, 0, 100],
    [2.0101, 2.02, 11, 20],
    [2.01, 2.0209, 10, 20],
    [2.01 + 5e-10, 2.02 - 5e-10, 10, 20],
    [2.01 + 5e-9, 2.02 - 5e-9, 11, 19],
    [2.0104, 2.0106, 11, 11],
    [3, 4, 100, 100],
    [0, 1, 0, 0],
  ])('from %s to %s s hold samples %s to %s', (from, to, first, last) => {
    expect(samplesWithin(samplingOf(whole), from, to)).toEqual({ first, last });
  });

  it('share the samples, begin where they begin, and are the waveform where they are all of it', () => {
    const part = cut(whole, 20, 30);
    expect(part.samples).toEqual(whole.samples.subarray(20, 30));
    expect(part.samples.buffer).toBe(whole.samples.buffer);
    expect(part.start).toBeCloseTo(2.02, 12);
    expect(cut(whole, 0, 100)).toBe(whole);
    expect(cut(whole, 0, 99)).not.toBe(whole);
    expect(cut(whole, 1, 100)).not.toBe(whole);
    expect(windowed(whole, 2.02, 2.03).samples).toEqual(part.samples);
  });

  it('count what is clipped in them', () => {
    const range = { low: 0, high: 9 };
    const some = waveform(10, (k) => k, { range, clipped: 2 });
    expect([cut(some, 0, 5), cut(some, 5, 10), cut(some, 1, 9)].map((p) => p.clipped)).toEqual([
      ...[1, 1, 0],
    ]);
    // Without a range any of them may be: no more than there are samples.
    const unknown = waveform(10, (k) => k, { clipped: 4 });
    expect(cut(unknown, 0, 3).clipped).toBe(3);
    expect(cut(unknown, 0, 8).clipped).toBe(4);
    expect(
      cut(
        waveform(10, (k) => k, { range }),
        0,
        5,
      ).clipped,
    ).toBe(0);
  });

  it('of a disturbed waveform are the same again, and disturbed', () => {
    const disturbed = disturbedWaveform(whole, { gain: 2, offset: 1 });
    const part = cut(disturbed, 20, 30);
    expect(isDisturbed(part)).toBe(true);
    expect(cut(disturbed, 20, 30)).toBe(part);
    expect([...part.samples]).toEqual([...whole.samples.subarray(20, 30)].map((x) => 2 * x + 1));
    expect(offsetInBuffer(cut(whole, 20, 30).samples)).toBe(20);
  });
});

describe('an error given to a waveform', () => {
  const whole = waveform(50, uneven, { range: { low: -1, high: 8 }, step: 0.5, clipped: 1 });

  it('moves its range and its step along', () => {
    const moved = disturbedWaveform(whole, { gain: 2, offset: 3 });
    expect(moved).toMatchObject({ range: { low: 1, high: 19 }, step: 1, clipped: 1, start: 2 });
    const plain = disturbedWaveform(waveform(5, uneven), { gain: 2, offset: 3 });
    expect('range' in plain || 'step' in plain).toBe(false);
  });

  it('of nothing is no error', () => {
    expect(disturbedWaveform(whole, { gain: 1, offset: 0 })).toBe(whole);
    expect(isDisturbed(whole)).toBe(false);
    for (const error of [
      { gain: 1.1, offset: 0 },
      { gain: 1, offset: 0.1 },
      { gain: 1, offset: 0, noise: { standard: 1, seed: 1 } },
    ])
      expect(isDisturbed(disturbedWaveform(whole, error))).toBe(true);
  });

  it('may have its noise taken out again', () => {
    const noise = { standard: 1, seed: 1 };
    const noisy = disturbedWaveform(whole, { gain: 2, offset: 3, noise });
    expect([...withoutNoise(noisy).samples]).toEqual([...whole.samples].map((x) => 2 * x + 3));
    const still = disturbedWaveform(whole, { gain: 2, offset: 3 });
    expect(withoutNoise(still)).toBe(still);
    expect(withoutNoise(whole)).toBe(whole);
    expect(withoutNoise(disturbedWaveform(whole, { gain: 1, offset: 0, noise }))).toBe(whole);
  });

  it('of noise adds the deviates of its seed at the record’s own places', () => {
    const noise = { standard: 0.3, seed: 5 };
    const part = cut(disturbedWaveform(whole, { gain: 1, offset: 0, noise }), 7, 20);
    const drawn = deviates(13, 5, 7);
    for (const [k, value] of part.samples.entries())
      expect(value).toBeCloseTo((whole.samples[7 + k] ?? 9) + 0.3 * (drawn[k] ?? 9), 12);
  });
});

describe('an observation with errors', () => {
  const reading = (X: number, Y: number, Z: number): ColourReading => ({
    ...{ capture: 'colour', of: 'lamp', at: 1, integration: 0.1, X, Y, Z, state: 'good' },
  });
  const frame: Frame = {
    capture: 'frame',
    at: 1,
    rows: Float64Array.of(1, 2, 3),
    lineTime: 1e-5,
    exposure: 1e-3,
    saturated: false,
  };
  const record = recorded('light', 'light', waveform(40, uneven));
  const observation: Observation = {
    of: 'light',
    window: { from: 2, to: 2.04 },
    records: [record, recorded('busy', 'busy', waveform(40, uneven))],
    colour: [reading(1, 2, 3), reading(4, 5, 6)],
    frames: [frame],
    commanded: { channels: [], marks: [], duration: 1, curve: { kind: 'linear', bottom: 0.001 } },
    parameters: {},
  };
  const light = (disturbance: Disturbance) =>
    disturb(observation, (capture) => (capture === 'light' ? disturbance : undefined)).records[0]
      ?.waveform;

  it('shares what is given none', () => {
    const same = disturb(observation, () => undefined);
    expect(same.records[0]).toBe(record);
    expect(same.colour[0]).toBe(observation.colour[0]);
    expect(same.frames[0]).toBe(frame);
    const one = disturb(observation, (capture) => (capture === 'busy' ? { gain: 2 } : undefined));
    expect(one.records[0]).toBe(record);
    expect(one.records[1]?.waveform.samples[3]).toBeCloseTo(2 * uneven(3), 12);
    expect(one.records[1]).toMatchObject({ capture: 'busy', signal: 'busy', of: 'busy' });
  });

  it('moves samples by gain and offset, and time by the interval', () => {
    const moved = light({ gain: 1.5, offset: -2 });
    expect(moved?.samples[7]).toBeCloseTo(1.5 * uneven(7) - 2, 12);
    expect(moved?.rate).toBe(1000);
    const slow = disturb(observation, () => ({ stretch: 1.25 })).records[0];
    expect(slow?.waveform.rate).toBe(800);
    expect(slow?.sampling.rate).toBe(800);
    expect(slow?.waveform.samples).toEqual(record.waveform.samples);
    expect(light({ offset: -2 })?.samples[7]).toBeCloseTo(uneven(7) - 2, 12);
  });

  it('bows: off by the error for a small signal, right at full scale, on either side of zero', () => {
    const bow = { error: 0.1, fullScale: 10 };
    const bowed = light({ bow });
    for (const k of [0, 7, 20]) {
      const x = uneven(k);
      expect(bowed?.samples[k]).toBeCloseTo(x * (1 + 0.1 * (1 - x / 10)), 12);
    }
    const below = {
      ...observation,
      records: [
        recorded(
          'light',
          'light',
          waveform(2, (k) => (k ? 10 : -10)),
        ),
      ],
    };
    const ends = disturb(below, () => ({ bow })).records[0]?.waveform.samples;
    expect([...(ends ?? [])]).toEqual([-10, 10]);
    // Readings by their Y.
    const [first] = disturb(observation, () => ({ bow })).colour;
    expect(first?.X).toBeCloseTo(1 + 0.1 * 0.8, 12);
    expect(first?.Z).toBeCloseTo(3 * (1 + 0.1 * 0.8), 12);
  });

  it('rounds again, to whole steps and a phase', () => {
    const rounded = light({ rounding: { step: 0.5, phase: 0.2 } });
    expect(rounded?.drawn).toBe(true);
    for (const [k, value] of (rounded?.samples ?? []).entries()) {
      expect(Math.abs(value - uneven(k))).toBeLessThanOrEqual(0.25 + 1e-9);
      expect((value - 0.2) / 0.5).toBeCloseTo(Math.round((value - 0.2) / 0.5), 9);
    }
  });

  it('adds dark noise of the bench', () => {
    const coloured = { slow: 0, lines: [{ frequency: 50, amplitude: 0.3 }], drift: 0, seed: 4 };
    const noisy = light({ coloured });
    expect(noisy?.drawn).toBe(true);
    expect([...(noisy?.samples ?? [])]).toEqual([
      ...colouredWaveform(record.waveform, coloured).samples,
    ]);
    expect(light({ gain: 2 })?.drawn).toBe(undefined);
  });

  it('moves a camera’s rows, and its times by the interval', () => {
    const [moved] = disturb(observation, () => ({ gain: 2, offset: 1, stretch: 1.1 })).frames;
    expect([...(moved?.rows ?? [])]).toEqual([3, 5, 7]);
    expect(moved?.lineTime).toBeCloseTo(1.1e-5, 12);
    expect(moved?.exposure).toBeCloseTo(1.1e-3, 12);
    const [same] = disturb(observation, () => ({ bow: { error: 1, fullScale: 1 } })).frames;
    expect(same).toEqual(frame);
    const noise = { standard: 2, seed: 3 };
    const [noisy] = disturb(observation, () => ({ noise })).frames;
    const drawn = deviates(3, 3, 0);
    for (const k of [0, 1, 2]) expect(noisy?.rows[k]).toBeCloseTo(k + 1 + 2 * (drawn[k] ?? 9), 12);
  });

  it('moves one of a reading’s three values, or all', () => {
    const moved = (axis?: 'X' | 'Y' | 'Z') => {
      const given = { gain: 2, offset: 1, ...(axis && { axis }) };
      const [first] = disturb(observation, () => given).colour;
      return [first?.X, first?.Y, first?.Z];
    };
    expect(moved()).toEqual([3, 5, 7]);
    expect(moved('X')).toEqual([3, 2, 3]);
    expect(moved('Y')).toEqual([1, 5, 3]);
    expect(moved('Z')).toEqual([1, 2, 7]);
  });

  it('adds white noise of its seed to samples', () => {
    const noisy = light({ noise: { standard: 2, seed: 3 } });
    const drawn = deviates(40, 3, 0);
    for (const k of [0, 7, 39])
      expect(noisy?.samples[k]).toBeCloseTo(uneven(k) + 2 * (drawn[k] ?? 9), 12);
  });

  it('gives every value of every reading a deviate of its own', () => {
    const next = seededNoise(9);
    const found = disturb(observation, () => ({ noise: { standard: 0.5, seed: 9 } })).colour;
    for (const [k, { X, Y, Z }] of found.entries()) {
      const { X: x, Y: y, Z: z } = observation.colour[k] ?? reading(0, 0, 0);
      for (const off of [X - x, Y - y, Z - z]) expect(off).toBeCloseTo(0.5 * next(), 12);
    }
    const noise = { standard: 0.5, seed: 9 };
    const off = (seed: number) =>
      disturb(observation, () => ({ noise: { ...noise, seed } })).colour.flatMap(
        ({ X, Y, Z }, k) => {
          const { X: x, Y: y, Z: z } = observation.colour[k] ?? reading(0, 0, 0);
          return [X - x, Y - y, Z - z];
        },
      );
    expect(new Set(off(9)).size).toBe(6);
    expect(off(9)).toEqual(off(9));
    expect(off(9)).not.toEqual(off(10));
    const squares = Array.from({ length: 200 }, (_, seed) => off(seed)).flat();
    const variance = squares.reduce((sum, each) => sum + each ** 2, 0) / squares.length;
    expect(Math.abs(variance / 0.25 - 1)).toBeLessThan(0.2);
  });
});

describe('dark noise in a record', () => {
  const still = waveform(400, () => 3, { rate: 1000 });
  const added = (noise: Partial<Parameters<typeof colouredWaveform>[1]>) => {
    const found = colouredWaveform(still, { ...noDarkNoise, seed: 1, ...noise });
    expect(found).toMatchObject({ rate: 1000, start: 2 });
    expect(still.samples.every((value) => value === 3)).toBe(true);
    return Float64Array.from(found.samples, (value) => value - 3);
  };

  it('of lines is a sine each, at a phase of its seed and its place', () => {
    const lines = [{ frequency: 50, amplitude: 0.3 }];
    const samples = added({ lines });
    // 20 whole periods: mean 0, mean square a²/2, and the next period is the same.
    expect(samples.reduce((sum, x) => sum + x, 0)).toBeCloseTo(0, 9);
    expect(samples.reduce((sum, x) => sum + x * x, 0) / 400).toBeCloseTo(0.045, 9);
    for (const k of [0, 3, 9]) expect(samples[k + 20]).toBeCloseTo(samples[k] ?? 9, 9);
    // Phase in turns: the fractions of golden steps (plastic number for places), as the description has it.
    const phase = (seed: number, place: number) =>
      (seed * 0.6180339887498949 + (place + 1) * 0.7548776662466927) % 1;
    expect(samples[0]).toBeCloseTo(0.3 * Math.sin(2 * Math.PI * phase(1, 0)), 9);
    const two = added({ seed: 7, lines: [{ frequency: 9, amplitude: 0 }, ...lines] });
    expect(two[0]).toBeCloseTo(0.3 * Math.sin(2 * Math.PI * phase(7, 1)), 9);
  });

  it('of drift turns about the middle, by a deviate of its seed', () => {
    const samples = added({ drift: 0.4 });
    const slope = ((samples[399] ?? 9) - (samples[0] ?? 9)) / 399;
    // The deviate's seed is set off from that of the lines by a word.
    expect(slope).toBeCloseTo((0.4 * (deviates(1, 1 ^ 0x2c1b3c6d, 0)[0] ?? 9)) / 1000, 12);
    expect(samples[0]).toBeCloseTo(-199.5 * slope, 9);
    expect(samples[100]).toBeCloseTo(-99.5 * slope, 9);
    const slopes = Array.from(
      { length: 300 },
      (_, seed) => (added({ drift: 0.4, seed })[399] ?? 9) / 0.1995,
    );
    const variance = slopes.reduce((sum, each) => sum + each ** 2, 0) / slopes.length;
    expect(Math.sqrt(variance) / 0.4).toBeGreaterThan(0.88);
    expect(Math.sqrt(variance) / 0.4).toBeLessThan(1.12);
  });

  it('that falls with frequency is that of its seed', () => {
    const expected = new Float64Array(400);
    addSlowNoise(expected, 0.2, 1);
    for (const [k, value] of added({ slow: 0.2 }).entries())
      expect(value).toBeCloseTo(expected[k] ?? 9, 9);
    expect([...added({})]).toEqual(Array(400).fill(0));
  });
});

describe('defects of samples', () => {
  const light = { negative: false, clipped: false };
  const why = (value: (k: number) => number, rest: Partial<Waveform> = {}, allowed = light) =>
    sampleDefect(waveform(640, value, rest), allowed);

  it('are none, NaN, infinity and clipping, in this order', () => {
    expect(sampleDefect(waveform(0, uneven), light)).toBe('empty');
    expect(why((k) => (k === 639 ? Number.NaN : 1), { clipped: 1 })).toBe('not-finite');
    expect(why((k) => (k === 0 ? Infinity : 1))).toBe('not-finite');
    expect(why(() => 1, { clipped: 1 })).toBe('saturated');
    expect(why(() => 1, { clipped: 1 }, { negative: false, clipped: true })).toBe(null);
    expect(why(() => 1)).toBe(null);
  });

  it('light below zero, by the mean of 64 samples beyond seven deviations of it, a step and a thousandth', () => {
    expect(why(() => -1)).toBe('negative-light');
    expect(why(() => -1, {}, { negative: true, clipped: false })).toBe(null);
    expect(why(() => -1, { drawn: true })).toBe(null);
    expect(why(() => 0)).toBe(null);
    // A block of 64 at -1 in a record that reaches 10: allowance 7 · differences/8 + 0.01.
    const dip = (depth: number, high: number) => (k: number) =>
      k >= 64 && k < 128 ? -depth : high;
    // Two edges of 11 in 639 differences: √(2 · 121/1278)/8 · 7.
    const allowance = (depth: number, high: number) =>
      (7 * Math.sqrt((2 * (depth + high) ** 2) / 1278)) / 8 + 1e-3 * Math.max(depth, high);
    for (const high of [0.1, 2]) {
      let depth = 1e-4;
      while (depth < allowance(depth, high)) depth *= 1.01;
      expect(why(dip(1.02 * depth, high))).toBe('negative-light');
      expect(why(dip(0.98 * depth, high))).toBe(null);
      expect(why(dip(1.02 * depth, high), { step: 0.05 * depth })).toBe(null);
    }
  });

  it('in the last samples too, and in records of a few', () => {
    expect(why((k) => (k >= 600 ? -3 : 0.5))).toBe('negative-light');
    expect(why((k) => (k < 64 ? -3 : 0.5))).toBe('negative-light');
    expect(
      sampleDefect(
        waveform(1, () => -1),
        light,
      ),
    ).toBe('negative-light');
    expect(
      sampleDefect(
        waveform(3, () => -1),
        light,
      ),
    ).toBe('negative-light');
    // Differences of 1.1/√2 in the mean of two: 7 · 1.1/2 allowed.
    expect(
      sampleDefect(
        waveform(2, (k) => (k ? -1 : 0.1)),
        light,
      ),
    ).toBe(null);
  });
});

describe('tracks of means', () => {
  const whole = waveform(100, uneven);
  const weighted = (first: number, count: number) => {
    const weights = hannWeights(count);
    return weights.reduce((sum, w, k) => sum + w * (whole.samples[first + k] ?? Number.NaN), 0);
  };

  it.each([
    ['that overlap by whole steps', 0.012, 0.003, 12, 3],
    ['that are rounded to whole steps', 0.0131, 0.003, 12, 3],
    ['that follow each other', 0.005, 0.005, 5, 5],
    ['with gaps', 0.004, 0.01, 4, 10],
    ['that overlap a little', 0.005, 0.004, 5, 4],
    ['of a sample each', 0.0001, 0.0001, 1, 1],
  ])('Hann-weighted, %s', (_, width, step, count, stride) => {
    const track = hannTrack(whole, { from: 2.0101, to: 2.09 }, width, step);
    const windows = Math.floor((90 - count - 11) / stride) + 1;
    expect(track.width).toBeCloseTo(count / 1000, 12);
    expect(track.values.length).toBe(windows);
    expect(track.times.length).toBe(windows);
    for (const k of [0, 1, windows - 1]) {
      const first = 11 + k * stride;
      expect(track.values[k]).toBeCloseTo(weighted(first, count), 10);
      expect(track.times[k]).toBeCloseTo(2 + (first + count / 2) / 1000, 10);
    }
  });

  it('Hann-weighted, stay within the record, and are none where none fits', () => {
    const all = hannTrack(whole, { from: 0, to: 9 }, 0.01, 0.01);
    expect(all.values.length).toBe(10);
    expect(all.times[0]).toBeCloseTo(2.005, 12);
    expect(hannTrack(whole, { from: 0, to: 9 }, 0.2, 0.01).values.length).toBe(0);
    expect(hannTrack(whole, { from: 2.05, to: 2.055 }, 0.01, 0.001).values.length).toBe(0);
  });

  it('Hann-weighted, of a moved record are moved', () => {
    for (const [width, step] of [
      [0.012, 0.003],
      [0.005, 0.005],
    ] as const) {
      const span = { from: 2, to: 2.1 };
      const moved = disturbedWaveform(whole, { gain: 2, offset: -3 });
      const [one, two] = [whole, moved].map((each) => hannTrack(each, span, width, step).values);
      for (const [k, value] of (two ?? []).entries())
        expect(value).toBeCloseTo(2 * (one?.[k] ?? 9) - 3, 9);
    }
  });

  it('of noise scatter by √1.5/√n of a sample’s, times their rms', () => {
    const layout = { first: 0, windows: 1, count: 12, stride: 3 };
    const standard = 2;
    let square = 0;
    for (let seed = 0; seed < 800; seed++) {
      const noise = { standard, seed };
      const moved = disturbedWaveform(
        waveform(12, () => 0),
        { gain: 1, offset: 0, noise },
      );
      square += (blockwiseTrack(moved, layout)[0] ?? 9) ** 2 / 800;
    }
    expect(Math.abs(square / (4 * (1.5 / 12)) - 1)).toBeLessThan(0.2);
  });

  it('of noise move by three deviates of each stride, as the covariance of its three sums has it', () => {
    const [standard, seed, count, stride, first] = [0.5, 77, 12, 3, 11];
    const noise = { standard, seed };
    const moved = disturbedWaveform(whole, { gain: 2, offset: 1, noise });
    const track = hannTrack(moved, { from: 2.0101, to: 2.09 }, 0.012, 0.003);
    // Columns 1, cos and sin of a stride, at right angles one after another (Gram and Schmidt).
    const angle = (k: number) => (2 * Math.PI * (k + 0.5)) / count;
    const columns = [() => 1, (k: number) => Math.cos(angle(k)), (k: number) => Math.sin(angle(k))];
    const units: number[][] = [];
    const weights = columns.map((column) => {
      let rest = [0, 1, 2].map(column);
      const shares = units.map((unit) => unit.reduce((sum, u, k) => sum + u * (rest[k] ?? 0), 0));
      for (const [n, unit] of units.entries())
        rest = rest.map((x, k) => x - (shares[n] ?? 0) * (unit[k] ?? 0));
      const size = Math.hypot(...rest);
      units.push(rest.map((x) => x / size));
      return [...shares, size];
    });
    const own = seed ^ Math.imul(count, 0x9e3779b1) ^ Math.imul(stride, 0x45d9f3b);
    const place = offsetInBuffer(whole.samples) + first;
    for (const [window, value] of track.values.entries()) {
      let sum = 0;
      for (let b = 0; b < 4; b++) {
        const drawn = deviates(3, own, 3 * (place + window + b));
        const [plain = 0, even = 0, odd = 0] = weights.map((row) =>
          row.reduce((all, weight, n) => all + weight * (drawn[n] ?? 0), 0),
        );
        const turn = (2 * Math.PI * b) / 4;
        sum += plain - even * Math.cos(turn) + odd * Math.sin(turn);
      }
      const expected = 2 * weighted(first + window * stride, count) + 1 + (standard * sum) / count;
      expect(value).toBeCloseTo(expected, 9);
    }
  });

  it('within rounding of a sample’s edge hold the sample', () => {
    const within = { from: 2.01 + 5e-10, to: 2.09 - 5e-10 };
    const inside = { from: 2.01 + 5e-9, to: 2.09 - 5e-9 };
    for (const track of [hannTrack, meanTrack]) {
      expect(track(whole, within, 0.01, 0.01).times[0]).toBeCloseTo(2.015, 9);
      expect(track(whole, within, 0.08, 1).values.length).toBe(1);
      expect(track(whole, inside, 0.01, 0.01).times[0]).toBeCloseTo(2.016, 9);
      expect(track(whole, inside, 0.08, 1).values.length).toBe(0);
    }
  });

  it('plain, so many a width', () => {
    const track = meanTrack(whole, { from: 2.0101, to: 2.09 }, 0.01, 4);
    // Strides of two samples and windows of ten, from sample 11 on.
    expect(track.width).toBeCloseTo(0.01, 12);
    expect(track.missed).toBeCloseTo(0.1, 12);
    expect(track.values.length).toBe(35);
    for (const k of [0, 1, 34]) {
      const part = whole.samples.subarray(11 + 2 * k, 21 + 2 * k);
      expect(track.values[k]).toBeCloseTo(part.reduce((sum, x) => sum + x, 0) / 10, 12);
      expect(track.times[k]).toBeCloseTo(2.016 + 0.002 * k, 12);
    }
  });

  it('plain, of a width that is no whole number of strides', () => {
    const track = meanTrack(whole, { from: 0, to: 9 }, 0.011, 4);
    expect(track.values.length).toBe(45);
    for (const k of [0, 44]) {
      const part = whole.samples.subarray(2 * k, 2 * k + 11);
      expect(track.values[k]).toBeCloseTo(part.reduce((sum, x) => sum + x, 0) / 11, 12);
    }
    const fine = meanTrack(whole, { from: 0, to: 9 }, 0.002, 10);
    expect([fine.values.length, fine.missed]).toEqual([99, 0.25]);
    expect(meanTrack(whole, { from: 0, to: 9 }, 1e-5, 10).values.length).toBe(100);
    const moved = disturbedWaveform(whole, { gain: 2, offset: -3 });
    expect(meanTrack(moved, { from: 0, to: 9 }, 0.01, 4).values[3]).toBeCloseTo(
      2 * (meanTrack(whole, { from: 0, to: 9 }, 0.01, 4).values[3] ?? 9) - 3,
      9,
    );
    expect(meanTrack(whole, { from: 0, to: 9 }, 0.2, 4).values.length).toBe(0);
  });
});

describe('means of a waveform', () => {
  const whole = waveform(100, uneven);
  const noise = { standard: 0.5, seed: 3 };
  const mean = whole.samples.reduce((sum, x) => sum + x, 0) / 100;

  it('move with gain and offset, and plain ones with every sample’s noise', () => {
    expect(plainMean(whole)).toBeCloseTo(mean, 12);
    expect(plainMean(disturbedWaveform(whole, { gain: 2, offset: 1 }))).toBeCloseTo(
      2 * mean + 1,
      12,
    );
    const drawn = deviates(100, 3, 0).reduce((sum, x) => sum + x, 0) / 100;
    const noisy = disturbedWaveform(whole, { gain: 2, offset: 1, noise });
    expect(plainMean(noisy)).toBeCloseTo(2 * mean + 1 + 0.5 * drawn, 12);
    expect(noiselessMean(noisy)).toBeCloseTo(2 * mean + 1, 9);
    expect(plainMean(waveform(0, uneven))).toBeNaN();
  });

  it('Hann-weighted, scatter by what noise does to so many samples', () => {
    for (const [count, expected] of [
      [1, 1],
      [2, Math.sqrt(1.5 / 2)],
      [100, Math.sqrt(1.5 / 100)],
    ] as const) {
      let square = 0;
      for (let seed = 0; seed < 600; seed++) {
        const given = { gain: 3, offset: 1, noise: { standard: 0.5, seed } };
        square +=
          (hannMean(
            disturbedWaveform(
              waveform(count, () => 2),
              given,
            ),
          ) -
            7) **
            2 /
          600;
      }
      expect(Math.sqrt(square) / (0.5 * expected)).toBeGreaterThan(0.88);
      expect(Math.sqrt(square) / (0.5 * expected)).toBeLessThan(1.12);
    }
    expect(
      hannMean(disturbedWaveform(waveform(0, uneven), { gain: 1, offset: 0, noise })),
    ).toBeNaN();
  });
});

describe('what gain and offset do is known', () => {
  const whole = waveform(100, uneven);

  it.each([
    ['plain means', (given: Waveform) => plainMean(given)],
    ['weighted means', (given: Waveform) => hannMean(given)],
    ['analyses', (given: Waveform) => analysisOf(given).statistics.mean],
    [
      'tracks that overlap',
      (given: Waveform) => hannTrack(given, { from: 0, to: 9 }, 0.012, 0.003).values[0],
    ],
    [
      'tracks that do not',
      (given: Waveform) => hannTrack(given, { from: 0, to: 9 }, 0.005, 0.005).values[0],
    ],
    ['plain tracks', (given: Waveform) => meanTrack(given, { from: 0, to: 9 }, 0.01, 4).values[0]],
    ['noise', (given: Waveform) => quietNoise(given)],
    ['doubts of edges', (given: Waveform) => edgeDoubt(given)],
    ['relative figures', (given: Waveform) => relativeFigure(given, 9, () => 1)],
    ['defects', (given: Waveform) => sampleDefect(given, { negative: false, clipped: false })],
    ['lengths', (given: Waveform) => lengthOf(cut(given, 3, 9))],
  ])('to %s, without the samples', (_, figure) => {
    const moved = disturbedWaveform(whole, { gain: 2, offset: -3 });
    Object.defineProperty(moved, 'samples', {
      get: () => {
        throw new Error('the moved samples were computed');
      },
    });
    expect(() => figure(moved)).not.toThrow();
  });

  it('to nothing: a gain of 0 leaves no line', () => {
    const tone = waveform(1000, (k) => 5 + Math.sin((2 * Math.PI * 50 * k) / 1000));
    expect(analysisOf(disturbedWaveform(tone, { gain: 0, offset: 4 })).lines).toEqual([]);
  });
});

describe('figures that errors move in a known way', () => {
  const whole = waveform(100, uneven);
  const top = ({ samples }: { samples: ArrayLike<number> }) => Math.max(...Array.from(samples));

  it('are computed from the record and moved, with noise anew', () => {
    const asked: string[] = [];
    const figure = (given: Waveform) => {
      const moved = disturbedWaveform(given, { gain: 2, offset: 1 });
      return linearFigures(
        moved,
        (each) => {
          asked.push(isDisturbed(each) ? 'disturbed' : 'recorded');
          return top(each);
        },
        (value, gain, offset) => value * gain + offset,
      );
    };
    expect(figure(whole)).toBeCloseTo(2 * top(whole) + 1, 12);
    expect(figure(disturbedWaveform(whole, { gain: 3, offset: 0 }))).toBeCloseTo(
      6 * top(whole) + 1,
      12,
    );
    expect(asked).toEqual(['recorded', 'recorded']);
    const noisy = disturbedWaveform(whole, { gain: 1, offset: 0, noise: { standard: 1, seed: 1 } });
    expect(linearFigures(noisy, top, () => Number.NaN)).toBeCloseTo(top(noisy), 12);
  });

  it('relative to a mean are scaled by it', () => {
    const figure = ({ samples }: { samples: ArrayLike<number> }, mean: number) =>
      Math.max(...Array.from(samples, (x) => Math.abs(x / mean - 1)));
    for (const error of [
      { gain: 2, offset: 1 },
      { gain: -0.5, offset: 9 },
      { gain: 1, offset: 0, noise: { standard: 1, seed: 1 } },
    ]) {
      const moved = disturbedWaveform(whole, error);
      const mean = plainMean(moved);
      expect(relativeFigure(moved, mean, figure)).toBeCloseTo(
        figure({ samples: moved.samples.slice() }, mean),
        9,
      );
    }
    expect(relativeFigure(whole, 4, figure)).toBe(figure(whole, 4));
  });

  it('at a lower rate: noise keeps its density', () => {
    const long = waveform(400, uneven, { rate: 1000.4 });
    expect([...decimated(long, 4, 40)]).toEqual([
      ...decimate({ samples: long.samples, rate: 1000 }, 4, 40),
    ]);
    const noise = { standard: 2, seed: 5 };
    const noisy = decimated(disturbedWaveform(long, { gain: 3, offset: 1, noise }), 4, 40);
    const drawn = deviates(100, 5, 0);
    for (const [k, value] of decimated(long, 4, 40).entries())
      expect(noisy[k]).toBeCloseTo(3 * value + 1 + (drawn[k] ?? 9), 9);
  });
});

describe('what rounding does', () => {
  it('changes of code are counted where a step is stated', () => {
    const samples = [0, 0, 1, 1.2, 1, 2, 2.6];
    const given = (step?: number) =>
      waveform(7, (k) => samples[k] ?? 0, step === undefined ? {} : { step });
    expect(codeChanges(given(1))).toBe(3);
    expect(codeChanges(given(1.3))).toBe(2);
    expect(codeChanges(given())).toBe(0);
    expect(codeChanges(given(0))).toBe(0);
    expect(codeChanges(given(0.4))).toBe(3);
    // Half a step is no change, and the first two samples count.
    expect(codeChanges(waveform(3, (k) => [0, 0.5, 0.5][k] ?? 0, { step: 1 }))).toBe(0);
    expect(codeChanges(waveform(3, (k) => [0, 1, 1][k] ?? 0, { step: 1 }))).toBe(1);
  });

  it('differences that noise does not spread may hide a whole step, and less the more noise there is', () => {
    expect(hiddenByCodes(waveform(100, () => 3, { step: 0.5 }))).toBeCloseTo(
      0.5 * Math.exp(-2 * Math.PI ** 2 * 0),
      12,
    );
    expect(hiddenByCodes(waveform(100, () => 3))).toBe(0);
    const noisy = (rms: number) => {
      const drawn = deviates(4000, 3, 0);
      return waveform(4000, (k) => Math.round(50 + rms * (drawn[k] ?? 0)), { step: 1 });
    };
    for (const step of [1, 0.25]) {
      const given = noisy(0.6);
      const scaled = { ...given, step, samples: given.samples.map((value) => step * value) };
      const seen = quietNoise(scaled) / step;
      expect(hiddenByCodes(scaled)).toBeCloseTo(
        step * Math.exp(-2 * Math.PI ** 2 * (seen ** 2 - 1 / 12)),
        12,
      );
    }
    expect(hiddenByCodes(noisy(0.6))).toBeLessThan(0.01);
    expect(hiddenByCodes(noisy(0.3))).toBeGreaterThan(0.05);
  });

  it('edges that are hidden between samples stay hidden in a moved record', () => {
    const pulses = waveform(200, (k) => (k % 10 < 5 ? 4 : 1));
    expect(edgeDoubt(pulses)).toBeGreaterThan(0);
    expect(edgeDoubt(disturbedWaveform(pulses, { gain: 2, offset: 1 }))).toBe(edgeDoubt(pulses));
  });

  it('noise of a moved record is moved, and that of an error added in squares where it counts', () => {
    const drawn = deviates(4000, 3, 0);
    const noisy = waveform(4000, (k) => drawn[k] ?? 0);
    const noise = { standard: 0.3, seed: 1 };
    const moved = disturbedWaveform(noisy, { gain: -2, offset: 5, noise });
    expect(quietNoise(moved)).toBeCloseTo(Math.hypot(2 * quietNoise(noisy), 0.3), 12);
    expect(recordedNoise(moved)).toBeCloseTo(2 * recordedNoise(noisy), 12);
    expect(quietNoise(disturbedWaveform(noisy, { gain: 2, offset: 5 }))).toBeCloseTo(
      2 * quietNoise(noisy),
      12,
    );
  });
});

describe('lines of mains and of dark wiring', () => {
  it.each([
    [50, true],
    [50.25, true],
    [50.26, false],
    [49.75, true],
    [49.74, false],
    [60, true],
    [55, false],
    [100.5, true],
    [100.51, false],
    [600, true],
    [500, true],
    [550, false],
    [660, false],
    [25, false],
    [0, false],
  ])('%s Hz is a low multiple of a mains frequency: %s', (frequency, expected) => {
    expect(isOfMains(frequency)).toBe(expected);
  });

  const light = (rest: Partial<Waveform> = {}) =>
    waveform(
      2000,
      (k) =>
        5 +
        0.02 * Math.sin((2 * Math.PI * 100 * k) / 1000) +
        Math.sin((2 * Math.PI * 217 * k) / 1000),
      rest,
    );
  const dark = { ...noDarkNoise, lines: [{ frequency: 100, amplitude: 0.02 }] };

  it('are not the lamp’s where the dark wiring records them, up to half as much again and 1 % off', () => {
    const wired = light({ dark });
    const of = (frequency: number, amplitude: number) =>
      isOfDarkWiring({ frequency, amplitude }, wired);
    expect(of(100, 0.03)).toBe(true);
    expect(of(100, 0.0301)).toBe(false);
    // 1 Hz and one over the two seconds of the record.
    expect([of(101.5, 0.02), of(98.5, 0.02)]).toEqual([true, true]);
    expect([of(101.51, 0.02), of(98.49, 0.02)]).toEqual([false, false]);
    expect(isOfDarkWiring({ frequency: 100, amplitude: 0.01 }, light())).toBe(false);
    expect(lampLines(wired).map(({ frequency }) => Math.round(frequency))).toEqual([217]);
    expect(lampLines(light()).map(({ frequency }) => Math.round(frequency))).toEqual([100, 217]);
  });

  it('may be pickup while nobody has recorded the dark wiring, up to 0.75 % of the light', () => {
    const may = (frequency: number, amplitude: number, given = light()) =>
      mayBePickup({ frequency, amplitude }, given);
    expect(may(100, 0.0374)).toBe(true);
    expect(may(100, 0.0376)).toBe(false);
    expect(may(217, 0.01)).toBe(false);
    expect(may(100, 0.01, light({ dark }))).toBe(false);
    const below = waveform(2000, (k) => -(light().samples[k] ?? 0));
    expect(may(100, 0.0374, below)).toBe(true);
  });

  it('an estimate holds pickup no larger than half a per cent of the light', () => {
    const { dark: found } = estimatedNoise(light(), true);
    expect(found.lines).toEqual([
      { frequency: expect.closeTo(100, 3), amplitude: expect.closeTo(0.02, 4) },
    ]);
    const strong = waveform(2000, (k) => 5 + Math.cos((2 * Math.PI * 100 * k) / 1000));
    expect(estimatedNoise(strong, true).dark.lines[0]?.amplitude).toBeCloseTo(0.025, 4);
    // Of mains, half of the swing.
    expect(estimatedNoise(strong, false).dark.lines[0]?.amplitude).toBeCloseTo(0.005, 4);
    expect(found.drift).toBe(0);
  });

  it('an estimate holds no pickup of a record without a mean: there is no light that it could be a part of', () => {
    const centred = waveform(2000, (k) => Math.round(1000 * Math.sin((2 * Math.PI * k) / 20)));
    expect(analysisOf(centred).lines.length).toBeGreaterThan(0);
    expect(analysisOf(centred).statistics.mean).toBe(0);
    expect(estimatedNoise(centred, true).dark.lines).toEqual([]);
  });

  it('of a record too short to tell a line, one of mains is feared; of a few samples nothing is', () => {
    const short = waveform(100, (k) => -5 + 0.01 * Math.sin(k));
    expect(estimatedNoise(short, true).dark.lines).toEqual([
      { frequency: 50, amplitude: expect.closeTo(0.025, 3) },
    ]);
    expect(
      estimatedNoise(
        waveform(119, () => 5),
        true,
      ).dark.lines.length,
    ).toBe(1);
    expect(
      estimatedNoise(
        waveform(120, () => 5),
        true,
      ).dark.lines.length,
    ).toBe(0);
    const few = waveform(63, (k) => k % 2);
    expect(estimatedNoise(few, true)).toEqual({ white: quietNoise(few), dark: noDarkNoise });
    expect(
      estimatedNoise(
        waveform(64, (k) => k % 2),
        true,
      ).dark.lines.length,
    ).toBe(1);
  });

  it('an estimate of slow noise leaves the rest white, and a margin', () => {
    const samples = deviates(8000, 3, 0).map((x) => 0.1 * x);
    addSlowNoise(samples, 0.05, 8);
    const noisy = waveform(8000, (k) => samples[k] ?? 0);
    const { white, dark: found } = estimatedNoise(noisy, true);
    expect(found.slow / 1.3 / 0.05).toBeGreaterThan(0.6);
    expect(found.slow / 1.3 / 0.05).toBeLessThan(1.6);
    const single = Math.min(analysisOf(noisy).noise, quietNoise(noisy));
    expect(white).toBeCloseTo(Math.sqrt(Math.max(0, single ** 2 - (1.06 / 1.3) * found.slow)), 12);
    expect(estimatedNoise(noisy, false)).toMatchObject({ white: single, dark: { slow: 0 } });
  });
});

describe('figures of a dark record', () => {
  it('are its zero, noise and lines', () => {
    const drawn = deviates(4000, 3, 0);
    const dark = waveform(
      4000,
      (k) => 0.02 + 0.001 * (drawn[k] ?? 0) + 0.01 * Math.sin((2 * Math.PI * 50 * k) / 1000),
    );
    const found = darkFiguresOf(dark);
    expect(found.mean).toBeCloseTo(0.02, 4);
    expect(found.noise / 0.001).toBeGreaterThan(0.85);
    expect(found.noise / 0.001).toBeLessThan(1.15);
    expect(found.drift).toBe(0);
    expect(found.lines).toEqual([
      { frequency: expect.closeTo(50, 2), amplitude: expect.closeTo(0.01, 4) },
    ]);
  });

  it('are known to the step of the converter where nothing moves', () => {
    const { noise, standardMean, mean } = darkFiguresOf(waveform(500, () => 3, { step: 0.6 }));
    expect(mean).toBe(3);
    expect(noise).toBeCloseTo(0.6 / Math.sqrt(12), 12);
    expect(standardMean).toBeCloseTo(0.6 / Math.sqrt(120), 12);
    expect(darkFiguresOf(waveform(500, () => 3)).noise).toBe(0);
  });

  it('have a drift that stands out of its scatter by two standard uncertainties', () => {
    const drift = darkFiguresOf(
      waveform(1000, (k) => 1 - 0.002 * k + 0.01 * Math.sin(k * k)),
    ).drift;
    expect(drift).toBeCloseTo(-2, 2);
    expect(darkFiguresOf(waveform(1000, (k) => Math.sin(k * k))).drift).toBe(0);
  });

  it('hold the sixteen strongest lines, by frequency', () => {
    const tones = Array.from({ length: 20 }, (_, n) => 20 + 23 * n);
    const many = waveform(4000, (k) =>
      tones.reduce(
        (sum, f, n) => sum + 0.01 * (n + 1) * Math.sin((2 * Math.PI * f * k) / 1000 + n),
        0,
      ),
    );
    expect(darkFiguresOf(many).lines.map(({ frequency }) => Math.round(frequency))).toEqual(
      tones.slice(4),
    );
  });
});

describe('the analysis of a moved record', () => {
  const drawn = deviates(4000, 3, 0);
  const whole = waveform(
    4000,
    (k) =>
      20 +
      4 * Math.sin((2 * Math.PI * 100.3 * k) / 1000) +
      2 * Math.sin((2 * Math.PI * (200 + k / 1000) * k) / 1000) +
      Math.sin((2 * Math.PI * 0.8 * k) / 1000) +
      0.01 * (drawn[k] ?? 0),
  );

  function figureAt(slow: Analysis['slow'], frequency: number) {
    const { amplitude, standard } = slow.at(frequency);
    return { amplitude, standard };
  }

  /** Everything that an analysis says, sampled. */
  function said({ statistics, spectrum, floor, noise, extremes, lines, slow, dominant }: Analysis) {
    return {
      statistics,
      spectrum: { ...spectrum, power: [...spectrum.power.subarray(0, 900)] },
      floor: { levels: [...floor.levels], ends: [...floor.ends], rms: floor.rms },
      noise,
      extremes,
      lines,
      slow: { lines: slow.lines, mean: slow.mean, end: slow.end, at: figureAt(slow, 1.1) },
      dominant,
    };
  }

  /** The same shape and, but for rounding, the same numbers. */
  function expectAlike(one: unknown, two: unknown, path = ''): void {
    if (typeof two === 'number' && !Number.isNaN(two)) {
      const off = Math.abs((one as number) - two);
      expect(off, path).toBeLessThanOrEqual(1e-7 * Math.max(1e-6, Math.abs(two)));
      return;
    }
    if (typeof two !== 'object' || two === null) {
      expect(one, path).toEqual(two);
      return;
    }
    expect(Object.keys(one as object).sort(), path).toEqual(Object.keys(two).sort());
    for (const [key, value] of Object.entries(two))
      expectAlike((one as Record<string, unknown>)[key], value, `${path}.${key}`);
  }

  it('is, part by part, that of the moved samples', () => {
    expect(analysisOf(whole).slow.lines.length).toBe(1);
    expect(analysisOf(whole).lines.some(({ spread }) => spread !== undefined)).toBe(true);
    for (const error of [
      { gain: 3, offset: -5 },
      { gain: 1, offset: 2 },
      { gain: -2, offset: 90 },
      { gain: 1.5, offset: 1, noise: { standard: 0.05, seed: 7 } },
    ]) {
      const moved = disturbedWaveform(whole, error);
      const plain = { ...whole, samples: moved.samples.slice() };
      expectAlike(said(analysisOf(moved)), said(analysisOf(plain)));
    }
  });

  it('at another rate has other frequencies, and nothing else', () => {
    const faster = said(analysisOf({ ...whole, rate: 2500 }));
    const { spectrum, lines, slow, dominant, ...rest } = said(analysisOf(whole));
    const times = ({ frequency, ...line }: { frequency: number; spread?: number }) => ({
      frequency: 2.5 * frequency,
      ...line,
      ...(line.spread !== undefined && { spread: 2.5 * line.spread }),
    });
    const at = figureAt(analysisOf({ ...whole, rate: 2500 }).slow, 2.75);
    expectAlike(
      { ...faster, slow: { ...faster.slow, at } },
      {
        statistics: rest.statistics,
        spectrum: { ...spectrum, step: 2.5 * spectrum.step },
        floor: rest.floor,
        noise: rest.noise,
        extremes: rest.extremes,
        lines: lines.map(times),
        slow: { ...slow, lines: slow.lines.map(times), end: 2.5 * slow.end, at: slow.at },
        dominant: dominant && times(dominant),
      },
    );
  });

  it('has the lines of the spectrum, in hertz', () => {
    const spectrum = powerSpectrum(whole);
    const expected = spectralLines(spectrum, noiseFloor(spectrum));
    expect(expected.some(({ spread }) => spread !== undefined)).toBe(true);
    expect(expected.some(({ spread }) => spread === undefined)).toBe(true);
    expectAlike(analysisOf(whole).lines, expected);
  });

  it('is shared by all rates of a record of one segment, up to fifteen seconds of it', () => {
    const record = waveform(1500, uneven, { rate: 100 });
    const floor = (rate: number) => analysisOf({ ...record, rate }).floor;
    expect(floor(100)).toBe(floor(101));
    expect(floor(99)).not.toBe(floor(100));
  });

  it('of more than fifteen seconds is one of segments of ten', () => {
    const long = (seconds: number) =>
      analysisOf(waveform(100 * seconds, uneven, { rate: 100 })).spectrum;
    expect(long(15).segments).toBe(1);
    expect(long(16)).toMatchObject({ segments: 2, length: 1000, step: 0.1 });
    // A clock that is a little off has the same segments.
    expect(analysisOf(waveform(1600, uneven, { rate: 100.04 })).spectrum.length).toBe(1000);
  });

  it('computes a part when it is asked for, once', () => {
    const once = analysisOf(waveform(500, uneven));
    expect(once.spectrum).toBe(once.spectrum);
    expect(once.lines).toBe(once.lines);
    expect(Object.keys(once)).toEqual([
      ...['statistics', 'spectrum', 'floor', 'noise', 'extremes', 'lines', 'slow', 'dominant'],
    ]);
  });
});
