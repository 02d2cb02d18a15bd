import { describe, expect, test } from 'vitest';
import {
  largestSensation,
  lightSeverity,
  realisedWithin,
  sensationScale,
} from '../../harness/measure/features/flicker/light-flickermeter.ts';
import { shortTermSeverity } from '../../harness/measure/features/flicker/short-term-severity.ts';
import { instantaneousSensation } from '../../harness/measure/metrics/flicker/instantaneous-sensation.ts';
import { tenMinuteLightModulation } from '../../harness/measure/metrics/flicker/short-term-light-modulation.ts';
import { bilinear } from '../../harness/measure/signal/bilinear.ts';
import { filter } from '../../harness/measure/signal/sections.ts';
import type { Waveform } from '../../harness/measure/waveform.ts';
import { figureOf, outcomeOf, sampled, withNoise } from '../measure/light-of.ts';
import { voltageFlickermeter } from './voltage-flickermeter.ts';

// IEC 61000-4-15:2010. Points of Tables 1 and 5 from memory, reproduced by an independent computation of the chain.

const rate = 2000;

function mains(seconds: number, frequency: number, envelope: (t: number) => number): Float64Array {
  const volts = new Float64Array(seconds * rate);
  for (let k = 0; k < volts.length; k++) {
    const t = k / rate;
    volts[k] = 325 * envelope(t) * Math.sin(2 * Math.PI * frequency * t);
  }
  return volts;
}

/** +1 and -1, `cpm` changes a minute, the first change after half the time between two. */
const rectangular = (cpm: number) => (t: number) =>
  Math.floor((t * cpm) / 60 + 0.5) % 2 === 0 ? 1 : -1;

describe('voltage flickermeter, Table 1: a sine of this size gives a largest sensation of 1', () => {
  const points: readonly (readonly [number, number])[] = [
    [0.5, 2.325],
    [1, 1.397],
    [1.5, 1.067],
    [2, 0.879],
    [2.5, 0.747],
    [3, 0.645],
    [3.5, 0.564],
    [4, 0.497],
    [4.5, 0.442],
    [5, 0.396],
    [5.5, 0.357],
    [6, 0.325],
    [6.5, 0.3],
    [7, 0.28],
    [7.5, 0.265],
    [8, 0.256],
    [8.8, 0.25],
    [9.5, 0.254],
    [10, 0.261],
    [10.5, 0.271],
    [11, 0.283],
    [11.5, 0.298],
    [12, 0.314],
    [13, 0.351],
    [14, 0.393],
    [15, 0.438],
    [16, 0.486],
    [17, 0.537],
    [18, 0.59],
    [19, 0.646],
    [20, 0.704],
    [21, 0.764],
    [22, 0.828],
    [23, 0.894],
    [24, 0.964],
    [25, 1.037],
    [100 / 3, 2.128],
  ];
  const meter = voltageFlickermeter('230V', rate);
  for (const [frequency, percent] of points) {
    test(`${Number(frequency.toFixed(2))} Hz, ${percent} %`, () => {
      const envelope = (t: number) => 1 + (percent / 200) * Math.sin(2 * Math.PI * frequency * t);
      const sensation = meter.sensation(mains(30, 50, envelope)).subarray(15 * rate);
      let largest = 0;
      for (const p of sensation) largest = Math.max(largest, p);
      // The standard allows 5 % in Pst; the sensation goes as its square. Reached: 0.3 %.
      expect(Math.abs(largest - 1)).toBeLessThan(0.01);
      expect(Math.abs(Math.sqrt(largest) - 1)).toBeLessThan(0.05);
    });
  }
});

describe('voltage flickermeter, Table 5: rectangular changes of this size give a Pst of 1 ± 5 %', () => {
  const points = [
    ['230V', 50, 1, 2.715],
    ['230V', 50, 2, 2.191],
    ['230V', 50, 7, 1.45],
    ['230V', 50, 39, 0.894],
    ['230V', 50, 110, 0.722],
    ['230V', 50, 1620, 0.407],
    // From memory only; the independent computation gives 1.011.
    ['230V', 50, 4000, 2.343],
    ['120V', 60, 1, 3.181],
    ['120V', 60, 2, 2.564],
    ['120V', 60, 7, 1.694],
    ['120V', 60, 39, 1.04],
    ['120V', 60, 110, 0.844],
    ['120V', 60, 1620, 0.548],
  ] as const;
  for (const [system, frequency, cpm, percent] of points) {
    test(`${system}, ${cpm} changes a minute, ${percent} %`, () => {
      const change = rectangular(cpm);
      const volts = mains(600, frequency, (t) => 1 + (percent / 200) * change(t));
      const pst = voltageFlickermeter(system, rate).severity(volts);
      expect(Math.abs(pst - 1)).toBeLessThan(0.05);
      // Closer than the standard asks, so that a wrong coefficient shows.
      expect(Math.abs(pst - 1)).toBeLessThan(0.015);
    });
  }
});

describe('light flickermeter', () => {
  // The lamp that the light weighting leaves out: 3.570 / ((1 + s/2π7.8745)(1 + s/2π160.83)), computed.
  const lamp = [
    bilinear(
      [3.57, 0, 0],
      [
        1,
        1 / (2 * Math.PI * 7.8745) + 1 / (2 * Math.PI * 160.83),
        1 / (4 * Math.PI ** 2 * 7.8745 * 160.83),
      ],
      rate,
      8.8,
    ),
  ];
  for (const [cpm, percent] of [
    [2, 2.191],
    [7, 1.45],
    [39, 0.894],
    [110, 0.722],
    [1620, 0.407],
  ] as const) {
    test(`the light of an incandescent lamp at the voltage of Table 5, ${cpm} changes a minute, gives 1`, () => {
      const change = rectangular(cpm);
      const voltage = Float64Array.from(
        { length: 600 * rate },
        (_, k) => (percent / 200) * change(k / rate),
      );
      const light = filter(lamp, voltage).map((fluctuation) => 1 + fluctuation);
      const mean = light.reduce((sum, value) => sum + value, 0) / light.length;
      const pst = lightSeverity({ samples: light, rate }, mean, sensationScale.voltage);
      expect(Math.abs(pst - 1)).toBeLessThan(0.02);
    });
  }

  const sines = [
    [0.5, 6.002],
    [1, 3.54],
    [2, 2.156],
    [5, 0.8388],
    [8.8, 0.4175],
    [10, 0.4037],
    [15, 0.5077],
    [20, 0.6409],
    [25, 0.7713],
    [100 / 3, 1.2],
  ] as const;
  for (const [frequency, percent] of sines) {
    test(`sine of ${percent} % at ${frequency.toFixed(1)} Hz gives 1 (computed with the derived scale, no published table)`, () => {
      const samples = Float64Array.from(
        { length: 180 * rate },
        (_, k) => 5 * (1 + (percent / 100) * Math.sin((2 * Math.PI * frequency * k) / rate)),
      );
      const pst = lightSeverity({ samples, rate }, 5, sensationScale.voltage);
      expect(Math.abs(pst - 1)).toBeLessThan(0.005);
    });
  }

  // IEC TR 61547-1 clause A.3: 100 Hz ripple of 22 % times rectangles of this size (peak to peak) at this frequency. Sizes and
  // figures of an analogue computation from a secondary source, values from memory. 33.3 Hz stands on the slope of the low
  // pass, where 0.1 % of frequency is 0.3 % of PstLM.
  const waveforms = [
    [0.325, 2.5386, 1.0004],
    [0.9167, 2.0473, 1.0001],
    [8.8, 0.6832, 1.0],
    [13.5, 0.778, 1.0006],
    [33.3, 2.0027, 1.003],
  ] as const;
  const rippled = (frequency: number, percent: number, at: number): Float64Array =>
    Float64Array.from({ length: 180 * at }, (_, k) => {
      const t = (k + 0.5) / at;
      const change = (t * frequency) % 1 < 0.5 ? 1 : -1;
      return (1 + 0.22 * Math.sin(2 * Math.PI * 100 * t)) * (1 + (percent / 200) * change);
    });
  const mean = (light: Float64Array): number => light.reduce((sum, x) => sum + x, 0) / light.length;

  for (const [frequency, percent, analogue] of waveforms) {
    test(`rectangles of ${percent} % at ${frequency} Hz on 100 Hz ripple give ${analogue} by default`, () => {
      for (const at of [2000, 4000]) {
        const samples = rippled(frequency, percent, at);
        const pst = lightSeverity({ samples, rate: at }, mean(samples), sensationScale.light);
        expect(Math.abs(pst - analogue)).toBeLessThan(0.005);
        expect(Math.abs(pst - analogue)).toBeLessThan(realisedWithin(at));
      }
    });
  }

  test('with the scale of the voltage flickermeter they read 6 % high', () => {
    const samples = rippled(8.8, 0.6832, rate);
    const pst = lightSeverity({ samples, rate }, mean(samples), sensationScale.voltage);
    expect(pst).toBeCloseTo(1.06, 2);
  });

  // Closed form: a sine of modulation m gives a sensation p (1 + r cos θ), p = scale m² |H|² / 2, r the part of the ripple that
  // the 0.3 s memory passes; the level exceeded x % of the time is p (1 + r cos πx).
  for (const [at, within] of [
    [2000, 0.04],
    [4000, 0.01],
    [20_000, 0.01],
  ] as const) {
    test(`at ${at / 1000} kS/s sines of 1 to 90 Hz lie within ${100 * within} % of analogue filters`, () => {
      expect(realisedWithin(at)).toBeCloseTo(within, 10);
      for (const frequency of [1, 8.8, 20, 40, 60, 90]) {
        const samples = Float64Array.from(
          { length: 60 * at },
          (_, k) => 1 + 0.1 * Math.sin((2 * Math.PI * frequency * k) / at),
        );
        const pst = lightSeverity({ samples, rate: at }, 1, sensationScale.light);
        const ratio = pst / severityOfSine(frequency, 0.1, sensationScale.light);
        expect(Math.abs(ratio - 1), `${frequency} Hz`).toBeLessThan(within);
      }
    });
  }
});

describe('largest instantaneous sensation', () => {
  const light = (m: (t: number) => number, seconds: number) =>
    sampled((t) => 1 + m(t) * Math.sin(2 * Math.PI * 8.8 * t), rate, seconds);

  test('is the closed form of a sine: scale m² |H|² / 2 times 1 + the ripple that the memory passes', () => {
    for (const frequency of [2, 8.8, 20]) {
      const { samples } = sampled(
        (t) => 1 + 0.01 * Math.sin(2 * Math.PI * frequency * t),
        rate,
        60,
      );
      const p = (sensationScale.light * (0.01 * analogueResponse(frequency)) ** 2) / 2;
      const peak = p * (1 + 1 / Math.hypot(1, 4 * Math.PI * frequency * 0.3));
      const found = largestSensation({ samples, rate }, 1, sensationScale.light);
      expect(Math.abs(found / peak - 1)).toBeLessThan(0.005);
    }
  });

  test('sees a burst of seconds in minutes that PstLM hardly counts, and goes as its square', () => {
    const burst = (m: number) => light((t) => (t > 100 && t < 103 ? m : 0), 180);
    const of = (m: number) => figureOf(instantaneousSensation, burst(m));
    expect(of(0.01)).toBeGreaterThan(8);
    expect(of(0.02) / of(0.01)).toBeCloseTo(4, 1);
  });

  test('over 10 min PstLM refuses a shorter record', () => {
    const outcome = outcomeOf(
      tenMinuteLightModulation,
      light(() => 0, 500),
    );
    expect(outcome.measured ? '' : outcome.reason).toBe('too-short');
  });

  test('states what noise and codes may hide, and never nothing', () => {
    const quiet = light(() => 0, 60);
    const noisy = { ...withNoise(quiet, 0.01), noise: 0.01 };
    const coarse = { ...quiet, step: 0.02 };
    const of = (record: Waveform) => {
      const outcome = outcomeOf(instantaneousSensation, record);
      return outcome.measured ? { floor: outcome.floor ?? 0, value: outcome.value } : null;
    };
    // White noise of 1 %: 1.1016e6 × 1e-4 × 2 / 2000 Hz × 2.70 Hz.
    expect(of(noisy)?.floor).toBeCloseTo(0.297, 2);
    expect(of(noisy)?.value).toBeGreaterThan(0.297);
    // Half a code of 2 % as a square wave at 9.95 Hz: 1.1016e6 × (4/π × 0.01 × 0.4365)² / 2.
    expect(of(coarse)?.floor).toBeCloseTo(17, 0);
  });
});

function severityOfSine(f: number, m: number, scale: number): number {
  const p = (scale * (m * analogueResponse(f)) ** 2) / 2;
  const r = 1 / Math.hypot(1, 4 * Math.PI * f * 0.3);
  const angles = Float64Array.from({ length: 100_000 }, (_, k) => (Math.PI * (k + 0.5)) / 1e5);
  return shortTermSeverity(angles.map((angle) => p * (1 + r * Math.cos(angle))));
}

/** |H(jω)| of high pass, low pass and eq. A.5 with its printed coefficients (from memory). */
function analogueResponse(f: number): number {
  const w = 2 * Math.PI * f;
  const over = Math.hypot(0.041661 * w ** 4 - 2715.6 * w ** 2, 29839 * w - 44.758 * w ** 3);
  const under = Math.hypot(w ** 4 - 11781 * w ** 2 + 3505380, 534820 * w - 196.32 * w ** 3);
  return (f / Math.hypot(f, 0.05)) * (1 / Math.sqrt(1 + (f / 35) ** 12)) * (over / under);
}

test('a constant sensation p gives 0.713863 √p (computed from the confirmed formula)', () => {
  for (const p of [0.01, 1, 25]) {
    const severity = shortTermSeverity(new Float64Array(1000).fill(p));
    expect(severity).toBeCloseTo(0.713863 * Math.sqrt(p), 5);
  }
});
