import { describe, expect, it } from 'vitest';
import { analysisOf } from '../../../harness/measure/analysis/analysis.ts';
import {
  disturbedSamples,
  disturbedWaveform,
  isDisturbed,
  type SampleError,
} from '../../../harness/measure/analysis/disturbed-waveform.ts';
import { hannTrack } from '../../../harness/measure/analysis/hann-track.ts';
import { hannMean, plainMean } from '../../../harness/measure/analysis/means.ts';
import { quietNoise, recordedNoise } from '../../../harness/measure/analysis/noise.ts';
import { sampleDefect } from '../../../harness/measure/analysis/sample-defect.ts';
import { cut, windowed } from '../../../harness/measure/analysis/waveform-part.ts';
import { addDeviates } from '../../../harness/measure/signal/deviates.ts';
import { hannWeights } from '../../../harness/measure/signal/hann.ts';
import { quickselect } from '../../../harness/measure/signal/quickselect.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';

const rate = 10_000;

/** A flickering record with noise; a fresh one each time, so that nothing is known of it yet. */
function record(length = 12_000): Waveform {
  const samples = new Float32Array(length);
  const noise = new Float64Array(length);
  addDeviates(noise, 0.2, 7, 0);
  for (let k = 0; k < length; k++) {
    samples[k] = 50 + 8 * Math.sin((2 * Math.PI * 100 * k) / rate) + noise[k]!;
  }
  return { samples, rate, start: 0.25, unit: 'lx', clipped: 0, step: 0.01 };
}

/** The twin: the samples changed one by one, and nothing known of where they came from. */
function plainly(waveform: Waveform, change: SampleError): Waveform {
  return {
    ...waveform,
    samples: disturbedSamples(waveform.samples, change),
    ...(waveform.step !== undefined && { step: waveform.step * change.gain }),
  };
}

/** Where the averages of a record are taken, s. */
const window = { from: 0.3, to: 1.2 };

const changes: readonly (readonly [string, SampleError])[] = [
  ['a gain', { gain: 1.02, offset: 0 }],
  ['an offset', { gain: 1, offset: -0.7 }],
  ['both', { gain: 0.97, offset: 3 }],
  ['noise', { gain: 1, offset: 0, noise: { standard: 0.5, seed: 11 } }],
];

describe.each(changes)(
  'of a record changed by %s, without its samples being computed',
  (_, change) => {
    const fast = disturbedWaveform(record(), change);
    const slow = plainly(record(), change);
    const near = (value: number, twin: number): void => {
      expect(Math.abs(value - twin)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(twin)));
    };

    const noisy = change.noise !== undefined;

    // What noise does to means is known as a law only: see below.
    if (!noisy)
      it('means are those of the changed samples', () => {
        near(hannMean(fast), hannMean(slow));
        near(plainMean(fast), plainMean(slow));
        for (const step of [0.0125, 0.01, 0.05, 0.13]) {
          const [one, two] = [fast, slow].map((each) => hannTrack(each, window, 0.05, step));
          expect(one!.times).toEqual(two!.times);
          expect(one!.values.length).toBeGreaterThan(5);
          for (const [k, value] of one!.values.entries()) near(value, two!.values[k]!);
        }
      });

    it('estimates of its noise are those of the changed samples', () => {
      // Noise adds in squares to noise, and less to the light's own change from sample to sample.
      const most = noisy ? 1.3 : 1 + 1e-9;
      expect(quietNoise(fast) / quietNoise(slow)).toBeGreaterThan(1 / most);
      expect(quietNoise(fast) / quietNoise(slow)).toBeLessThan(most);
      near(recordedNoise(fast), recordedNoise(noisy ? record() : slow));
    });

    it('a part is the part of the changed samples', () => {
      const [one, two] = [fast, slow].map((each) => windowed(each, 0.4, 0.9));
      expect(one!.start).toBe(two!.start);
      expect(one!.samples).toEqual(two!.samples);
      expect(cut(fast, 17, 99).samples).toEqual(cut(slow, 17, 99).samples);
    });

    it('the analysis is that of the changed samples', () => {
      const [one, two] = [analysisOf(fast), analysisOf(slow)];
      near(one.statistics.mean, two.statistics.mean);
      near(one.statistics.highest, two.statistics.highest);
      expect(one.statistics.lowestAt).toBe(two.statistics.lowestAt);
      near(one.spectrum.mean, two.spectrum.mean);
      near(one.floor.rms, two.floor.rms);
      near(one.noise, two.noise);
      near(one.extremes.low, two.extremes.low);
      near(one.extremes.highCorrection, two.extremes.highCorrection);
      expect(one.lines.length).toBe(two.lines.length);
      near(one.dominant!.frequency, two.dominant!.frequency);
      near(one.dominant!.amplitude, two.dominant!.amplitude);
    });

    it('another rate moves its frequencies and nothing else', () => {
      const faster = analysisOf(disturbedWaveform({ ...record(), rate: 2 * rate }, change));
      near(faster.dominant!.frequency, 2 * analysisOf(slow).dominant!.frequency);
      near(faster.dominant!.amplitude, analysisOf(slow).dominant!.amplitude);
    });
  },
);

it('a copy of a disturbed waveform is a plain one: other samples do not inherit where the first came from', () => {
  const disturbed = disturbedWaveform(record(), { gain: 2, offset: 1 });
  expect(isDisturbed(disturbed)).toBe(true);
  const copy = { ...disturbed };
  expect(isDisturbed(copy)).toBe(false);
  expect(copy.samples).toEqual(disturbed.samples);
  const still = { ...disturbed, samples: new Float64Array(500).fill(3) };
  expect(plainMean(still)).toBe(3);
  expect(hannMean(still)).toBeCloseTo(3, 12);
});

describe('averages in overlapping windows', () => {
  const waveform = record();

  it('are those of windows summed one by one', () => {
    const weights = hannWeights(500);
    const track = hannTrack(waveform, window, 0.05, 0.0125);
    for (const [k, value] of track.values.entries()) {
      const first = 500 + 125 * k;
      const sum = weights.reduce((all, w, j) => all + w * waveform.samples[first + j]!, 0);
      expect(Math.abs(value - sum)).toBeLessThan(1e-10);
    }
  });

  it('scatter under added noise as those of noisy samples do, alone and with their neighbours', () => {
    const short = record(1500);
    const span = { from: 0.25, to: 0.4 };
    const seeds = Array.from({ length: 600 }, (_, k) => 1000 + k);
    const layouts = [
      [0.05, 0.0125],
      [0.05, 0.025],
      [0.0003, 0.0001],
    ] as const;
    for (const [width, step] of layouts) {
      const still = hannTrack(short, span, width, step).values;
      const scatterOf = (made: (seed: number) => Waveform) => {
        let [own, next] = [0, 0];
        for (const seed of seeds) {
          const { values } = hannTrack(made(seed), span, width, step);
          const [one, two] = [values[1]! - still[1]!, values[2]! - still[2]!];
          own += one * one;
          next += one * two;
        }
        return [own / seeds.length, next / own] as const;
      };
      const changeOf = (seed: number): SampleError => ({
        gain: 1,
        offset: 0,
        noise: { standard: 3, seed },
      });
      const [fast, together] = scatterOf((seed) => disturbedWaveform(short, changeOf(seed)));
      const [slow, apart] = scatterOf((seed) => plainly(short, changeOf(seed)));
      // A variance of 600 is known to 5.8 %, the ratio of two to 8 %.
      expect(Math.abs(fast / slow - 1)).toBeLessThan(0.3);
      expect(Math.abs(together - apart)).toBeLessThan(0.15);
      expect(apart).toBeGreaterThan(0.05);
    }
  });

  it('a mean over everything scatters as that of noisy samples does', () => {
    const still = hannMean(waveform);
    let sum = 0;
    for (let seed = 0; seed < 600; seed++) {
      const change = { gain: 1, offset: 0, noise: { standard: 3, seed } };
      sum += (hannMean(disturbedWaveform(waveform, change)) - still) ** 2;
    }
    const expected = (1.5 * 9) / waveform.samples.length;
    expect(Math.abs(sum / 600 / expected - 1)).toBeLessThan(0.3);
  });
});

const light = { negative: false, clipped: false };

it('an error that pushes light below zero makes no sound record unsound, nor an unsound one sound', () => {
  const dark: Waveform = { ...record(), samples: record().samples.map((v) => v / 100) };
  const below: Waveform = { ...dark, samples: dark.samples.map((v) => v - 5) };
  expect(sampleDefect(plainly(dark, { gain: 1, offset: -5 }), light)).toBe('negative-light');
  for (const offset of [0, -5, 5]) {
    expect(sampleDefect(disturbedWaveform(dark, { gain: 1, offset }), light)).toBe(null);
    expect(sampleDefect(disturbedWaveform(below, { gain: 1, offset }), light)).toBe(
      'negative-light',
    );
  }
});

describe('deviates', () => {
  it('have mean 0, variance 1, the tails of the normal distribution, and no memory', () => {
    const count = 1 << 20;
    for (const seed of [1, 2, -77, 123_456_789]) {
      const values = new Float64Array(count);
      addDeviates(values, 1, seed, 0);
      let [sum, square, fourth, neighbours, pairs, beyond] = [0, 0, 0, 0, 0, 0];
      values.forEach((value, k) => {
        sum += value;
        square += value ** 2;
        fourth += value ** 4;
        neighbours += value * (values[k + 1] ?? 0);
        pairs += value * (values[k + 2] ?? 0);
        if (Math.abs(value) > 4) beyond++;
      });
      const known = 5 / Math.sqrt(count);
      expect(Math.abs(sum / count)).toBeLessThan(known);
      expect(Math.abs(square / count - 1)).toBeLessThan(known * Math.SQRT2 + 1e-3);
      expect(Math.abs(fourth / count - 3)).toBeLessThan(known * Math.sqrt(96) + 1e-2);
      expect(Math.abs(neighbours / count)).toBeLessThan(known);
      expect(Math.abs(pairs / count)).toBeLessThan(known);
      // 66 are expected beyond four standard deviations.
      expect(beyond).toBeGreaterThan(25);
      expect(beyond).toBeLessThan(107);
      expect(Math.max(...values.subarray(0, 1 << 16))).toBeGreaterThan(3.5);
    }
  });

  it('of different seeds have nothing to do with each other', () => {
    const count = 1 << 18;
    const [one, two] = [5, 6].map((seed) => {
      const values = new Float64Array(count);
      addDeviates(values, 1, seed, 0);
      return values;
    });
    for (const shift of [0, 1, 2, 3, 64]) {
      let sum = 0;
      for (let k = 0; k + shift < count; k++) sum += one![k]! * two![k + shift]!;
      expect(Math.abs(sum / count)).toBeLessThan(5 / Math.sqrt(count));
    }
  });

  it('of a part are those of the whole, from an odd place as well', () => {
    const whole = new Float64Array(1000);
    addDeviates(whole, 2, 3, 0);
    for (const first of [0, 1, 500, 777]) {
      const part = new Float64Array(100);
      addDeviates(part, 2, 3, first);
      expect(part).toEqual(whole.slice(first, first + 100));
    }
  });
});

it('finds the same value as sorting would', () => {
  const noise = new Float64Array(500);
  addDeviates(noise, 1, 9, 0);
  const rounded = noise.map((value) => Math.round(2 * value));
  for (const values of [noise, rounded, new Float64Array(40), Float64Array.of(3)]) {
    const sorted = values.slice().sort();
    for (let place = 0; place < values.length; place += 7) {
      expect(quickselect(values.slice(), place) + 0).toBe(sorted[place]! + 0);
    }
  }
});
