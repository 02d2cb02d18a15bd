import { describe, expect, it } from 'vitest';
import { settlingTime } from '../../../harness/measure/metrics/fade/settling-time.ts';
import { hannNoise } from '../../../harness/measure/signal/hann.ts';
import { fade, lengthOf, levelAt, observe, recordOf } from '../lamp-of.ts';
import { changedRecord } from '../recorded.ts';
import { outcome, standardOf } from './quick-fade.ts';

/** From 0.1 to 0.5 between 0.5 s and 1.5 s, recorded until 3.5 s. */
const segments = fade(0.1, 0.5, 1, { before: 0.5, after: 2 });
const final = 0.5;
/** Averages of 20 ms at 1 kS/s, an eighth of it apart: 7 parts of 3 samples. */
const width = 0.021;

interface Settling {
  readonly noise?: number;
  readonly step?: number;
  readonly instant?: number;
  readonly parameters?: Readonly<Record<string, number>>;
}

/** The fade with something added behind its end, `t` from there. */
function settling(
  behind: (t: number) => number,
  { noise = 0, step, instant, parameters = {} }: Settling = {},
  commanded = segments,
) {
  const light = (t: number) => levelAt(commanded, t) + (t > 1.5 ? behind(t - 1.5) : 0);
  const waveform = recordOf(light, lengthOf(commanded), { rate: 1000, noise });
  const made = observe(settlingTime, [{ channel: 'warm', segments: commanded, waveform }], 'warm', {
    parameters,
  });
  const [record] = made.records;
  return {
    ...made,
    ...(record && step !== undefined && { records: [changedRecord(record, { step })] }),
    ...(instant !== undefined && {
      commanded: { ...made.commanded, standardInstant: instant },
    }),
  };
}

const tail = (size: number, tau: number) => (t: number) => -size * Math.exp(-t / tau);

describe('a tail', () => {
  it('has settled when it has come into the band, counted from the commanded end', () => {
    const made = outcome(settlingTime, settling(tail(0.04, 0.1)));
    // 8 % of the final level decays to 2 % of it.
    expect(made.value).toBeCloseTo(0.1 * Math.log(4), 2);
    expect(made.evidence.notes).toEqual({ settled: made.value + 1.5, 'commanded-end': 1.5 });
    expect(made.evidence.charts.map(({ title }) => title)).toEqual(['End of the fade of warm']);
  });

  it('is held against the band and averaged over the time that is asked for', () => {
    const parameters = { band: 0.05, smoothing: 0.04 };
    const made = outcome(settlingTime, settling(tail(0.04, 0.1), { parameters }));
    expect(made.value).toBeCloseTo(0.1 * Math.log(0.08 / 0.05), 2);
    expect(standardOf(made, 'flank of the average')).toBeCloseTo(0.04 / 2 / Math.sqrt(3), 6);
  });

  it('is told within half an average, the instant of the command, and the noise over its speed', () => {
    const noise = 2e-4;
    const made = outcome(settlingTime, settling(tail(0.04, 0.1), { noise, instant: 0.003 }));
    expect(standardOf(made, 'flank of the average')).toBeCloseTo(width / 2 / Math.sqrt(3), 6);
    expect(standardOf(made, 'instant of the command')).toBe(0.003);
    // It enters the band of 0.01 at 0.01 / τ.
    const expected = (hannNoise * noise) / Math.sqrt(21) / (0.01 / 0.1);
    expect(standardOf(made, 'noise at the entry') / expected).toBeGreaterThan(0.85);
    expect(standardOf(made, 'noise at the entry') / expected).toBeLessThan(1.15);
    expect(
      standardOf(outcome(settlingTime, settling(tail(0.04, 0.1))), 'instant of the command'),
    ).toBe(0);
  });

  it('that still goes on may go on as far as its last averages are from the plateau’s mean', () => {
    const [size, tau] = [0.05, 0.3];
    const made = outcome(settlingTime, settling(tail(size, tau)));
    const mean = (from: number, to: number, weight: (x: number) => number): number => {
      let [sum, weights] = [0, 0];
      for (let k = 0; k < 1000; k++) {
        const x = (k + 0.5) / 1000;
        sum += weight(x) * size * Math.exp(-(from + x * (to - from)) / tau);
        weights += weight(x);
      }
      return sum / weights;
    };
    // The last 15 % of three seconds; the plateau from 40 % of two seconds on, under a Hann window.
    const last = mean(2 - 0.45, 2, () => 1);
    const plateau = mean(0.8, 2, (x) => 1 - Math.cos(2 * Math.PI * x));
    const entry = (level: number) => tau * Math.log(size / (0.02 * final + level));
    const apart = plateau - last;
    expect(made.value).toBeCloseTo(entry(last), 2);
    const farthest = Math.max(
      Math.abs(entry(last + apart) - entry(last)),
      Math.abs(entry(last - apart) - entry(last)),
    );
    expect(farthest).toBeGreaterThan(0.01);
    expect(standardOf(made, 'final level')).toBeCloseTo(farthest / Math.sqrt(3), 2);
    expect(Math.abs(standardOf(made, 'final level') - farthest / Math.sqrt(3))).toBeLessThan(
      0.0025,
    );
  });
});

describe('a fade', () => {
  it('has settled before its end when its line comes into the band', () => {
    const made = outcome(
      settlingTime,
      settling(() => 0),
    );
    expect(made.value).toBeCloseTo(Math.log(0.98) / Math.log(5), 1);
    expect(made.value).toBeLessThan(0);
  });

  it('has settled when it begins where it never leaves the band', () => {
    const made = outcome(
      settlingTime,
      settling(() => 0, { parameters: { band: 5 } }),
    );
    expect(made.value).toBe(-1);
  });

  it('has not where its light is under way when the record ends', () => {
    // 0.06 a second: half of the last 0.45 s is more than the band of 0.01.
    expect(settlingTime.compute(settling((t) => 0.06 * (t - 2)))).toEqual({
      ...{ measured: false, reason: 'no-plateau' },
      note: 'the light does not settle in the band',
    });
  });

  it('to dark has no level to settle on', () => {
    const dark = fade(1, 0, 1, { before: 0.5, after: 2 });
    expect(settlingTime.compute(settling(() => 0, {}, dark))).toEqual({
      ...{ measured: false, reason: 'out-of-domain' },
      note: 'a fade to dark has no level to settle on',
    });
  });
});

describe('a band', () => {
  const narrow = { parameters: { band: 1e-5 } };
  const refused = { measured: false, reason: 'below-noise', unit: 'A', note: 'the band' };

  it('is hidden by the scatter of averages, that of slow noise too (closed form of a sine)', () => {
    const [a, f] = [0.002, 15];
    const wave = (t: number) => a * Math.sin(2 * Math.PI * f * t);
    const x = f * width;
    // An average takes so much of it; second differences of averages one width and a bit apart, the median of whose size is
    // that of |sin|.
    const passed = Math.sin(Math.PI * x) / (Math.PI * x) / (1 - x * x);
    const second = 4 * Math.sin(Math.PI * f * 0.024) ** 2;
    const scatter = (a * passed * second * Math.SQRT1_2) / (0.6745 * Math.sqrt(6));
    const found = settlingTime.compute(settling(wave, narrow));
    expect(found).toEqual({
      ...refused,
      found: expect.closeTo(5e-6, 7),
      needed: expect.any(Number),
    });
    expect(!found.measured && Number(found.needed) / (5 * scatter)).toBeCloseTo(1, 1);
  });

  it('is hidden by white noise', () => {
    const found = settlingTime.compute(settling(() => 0, { ...narrow, noise: 0.002 }));
    const one = (hannNoise * 0.002) / Math.sqrt(21);
    expect(!found.measured && Number(found.needed) / (5 * one)).toBeGreaterThan(0.85);
    expect(!found.measured && Number(found.needed) / (5 * one)).toBeLessThan(1.6);
  });

  it('is hidden by what codes hide of light without noise: a step', () => {
    const found = settlingTime.compute(settling(() => 0, { step: 0.012 }));
    expect(found).toEqual({
      ...refused,
      found: expect.closeTo(0.01, 3),
      needed: expect.closeTo(0.012, 6),
    });
  });
});
