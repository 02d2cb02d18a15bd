import { describe, expect, it } from 'vitest';
import { meanCurrent } from '../../../harness/measure/metrics/current/mean-current.ts';
import { peakCurrent } from '../../../harness/measure/metrics/current/peak-current.ts';
import { regulation } from '../../../harness/measure/metrics/current/regulation.ts';
import { shortestPulse } from '../../../harness/measure/metrics/current/shortest-pulse.ts';
import { switchingFrequency } from '../../../harness/measure/metrics/current/switching.ts';
import { turnOnOvershoot } from '../../../harness/measure/metrics/current/turn-on-overshoot.ts';
import type { Measured } from '../../../harness/measure/outcome.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { found, refused } from '../well-formed.ts';
import { currentOf } from './current-of.ts';

const rate = 1000;

function record(samples: readonly number[], start = 0): Waveform {
  return { samples: Float64Array.from(samples), rate, start, unit: 'A', clipped: 0 };
}

const stretch = (value: number, count: number) => Array<number>(count).fill(value);

/** Of the first chart, in samples from the record's start: from where to where the current is drawn. */
function drawn({ evidence }: Measured, start = 0): readonly [number, number] {
  const x = evidence.charts[0]?.lines[0]?.x ?? [];
  const place = (at: number) => (at - start) * rate - 0.5;
  return [place(x[0] ?? Number.NaN), place(x.at(-1) ?? Number.NaN)];
}

const levelsOf = ({ evidence }: Measured) =>
  evidence.charts[0]?.lines.slice(1).map(({ name, y }) => [name, y[0]]);

/** Pulses of 1.1 A over 0.1 A. */
const pulses = [
  ...stretch(0.1, 100),
  ...stretch(1.1, 40),
  ...stretch(0.1, 100),
  ...stretch(1.1, 20),
  ...stretch(0.1, 100),
  ...stretch(1.1, 20),
  ...stretch(0.1, 100),
];

describe('the shortest pulse', () => {
  it('is the first of several, drawn four widths before it to five behind its start', () => {
    const outcome = found(shortestPulse, currentOf(record(pulses, 2)));
    expect(outcome.value * rate).toBeCloseTo(20, 6);
    expect(outcome.evidence.notes).toEqual({ at: expect.closeTo(2 + 0.24, 6), pulses: 3 });
    const [from, to] = drawn(outcome, 2);
    expect(Math.abs(from - 160)).toBeLessThan(2);
    expect(Math.abs(to - 340)).toBeLessThan(2);
    expect(levelsOf(outcome)).toEqual([['middle', expect.closeTo(0.6, 6)]]);
    expect(outcome.evidence.charts[0]?.title).toBe('Shortest pulse');
  });

  it('lasts two samples at least, or it says what rate would do', () => {
    const thin = (samples: readonly number[]) => [...pulses, ...samples, ...stretch(0.1, 50)];
    expect(found(shortestPulse, currentOf(record(thin([1.1, 1.1])))).value * rate).toBeCloseTo(
      2,
      6,
    );
    expect(refused(shortestPulse, currentOf(record(thin([1.1]))))).toEqual({
      measured: false,
      reason: 'too-slow',
      found: rate,
      needed: expect.closeTo(2 * rate, 6),
      unit: 'Hz',
      note: 'shortest pulse',
    });
  });

  it('is not told where a single sample stands between a tenth and 70 % of the step', () => {
    const stump = (value: number) => [...pulses, value, ...stretch(0.1, 50)];
    // The floor lies at 0.2 A, the ceiling at 0.8 A.
    for (const value of [0.21, 0.5, 0.79])
      expect(refused(shortestPulse, currentOf(record(stump(value))))).toMatchObject({
        needed: 4 * rate,
        note: 'some pulses are shorter than a sample',
      });
    expect(found(shortestPulse, currentOf(record(stump(0.19)))).measured).toBe(true);
    expect(refused(shortestPulse, currentOf(record(stump(0.85)))).note).toBe('shortest pulse');
    // At the very end nobody knows how it goes on.
    expect(found(shortestPulse, currentOf(record([...pulses, 0.5]))).measured).toBe(true);
    expect(found(shortestPulse, currentOf(record([...pulses, 0.5, 0.4]))).measured).toBe(true);
  });
});

describe('the overshoot at turn-on', () => {
  const pulse = (count: number, tip = 1) => [tip, ...stretch(1, count - 1)];
  const over = (samples: readonly number[], start = 0) =>
    found(turnOnOvershoot, currentOf(record(samples, start)));

  it('is that of the longest pulse, wherever it lies, drawn from a fifth of it before', () => {
    const [small, large] = [1.1, 1.4];
    const samples = [
      ...stretch(0, 50),
      ...pulse(40, large),
      ...stretch(0, 50),
      ...pulse(80, small),
      ...stretch(0, 50),
      ...pulse(40, large),
      ...stretch(0, 50),
    ];
    for (const start of [0, 3]) {
      const outcome = over(samples, start);
      // One sample of 1.1, at most a sample and a half behind the edge: what it was before is open.
      const standard = Math.hypot(...outcome.contributions.map((one) => one.standard));
      expect(Math.abs(outcome.value - 0.1)).toBeLessThan(2 * standard + 1e-9);
      expect(outcome.value).toBeLessThan(0.4);
      const [from, to] = drawn(outcome, start);
      expect(Math.abs(from - (140 - 16))).toBeLessThan(1.5);
      expect(Math.abs(to - 219)).toBeLessThan(1.5);
      expect(levelsOf(outcome)).toEqual([['settled peak', expect.closeTo(1, 6)]]);
      expect(outcome.evidence.notes['settled-mean']).toBeCloseTo(1, 6);
    }
  });

  it('needs a pulse of sixteen samples', () => {
    const lasting = (count: number) => [...stretch(0, 60), ...pulse(count), ...stretch(0, 60)];
    expect(over(lasting(16)).value).toBeCloseTo(0, 9);
    expect(refused(turnOnOvershoot, currentOf(record(lasting(15))))).toMatchObject({
      needed: expect.closeTo((rate * 16) / 15, 6),
      note: 'longest pulse',
    });
  });

  it('does not count the way down as settled', () => {
    // The last twentieth of the pulse falls.
    const falling = [
      ...stretch(0, 60),
      ...stretch(1, 95),
      0.9,
      0.8,
      0.7,
      0.65,
      0.6,
      ...stretch(0, 60),
    ];
    expect(over(falling).evidence.notes['settled-mean']).toBeCloseTo(1, 6);
  });

  it('is as it was at the edge, where it dies away within samples (closed form)', () => {
    // Excess 0.2, 0.1, 0.05 … : halved from sample to sample, from half a sample behind the edge on.
    const dying = (count: number) => Array.from({ length: count }, (_, k) => 1 + 0.2 * 0.5 ** k);
    const { value } = over([...stretch(0, 60), ...dying(200), ...stretch(0, 60)]);
    // The middle of the step from 0 to 1.2 is passed at 0.5 / 1.2 of a sample before the first one.
    const behind = 1 - 0.5 / 1.2;
    expect(value).toBeCloseTo(0.2 * 2 ** behind, 3);
  });
});

describe('the peak', () => {
  it('is where the highest sample is, drawn 500 samples to either side', () => {
    const samples = Array.from({ length: 2000 }, (_, k) => 1 + 0.1 * Math.sin(k / 300));
    const outcome = found(peakCurrent, currentOf(record(samples, 2)));
    const highest = Math.round((300 * Math.PI) / 2);
    expect(Number(outcome.evidence.notes['at'])).toBeCloseTo(2 + (highest + 0.5) / rate, 9);
    const [from, to] = drawn(outcome, 2);
    expect(from).toBeLessThan(2);
    expect(Math.abs(to - (highest + 500))).toBeLessThan(3);
    const later = Array.from({ length: 2000 }, (_, k) => 1 + 0.1 * Math.sin((k - 800) / 300));
    const shifted = found(peakCurrent, currentOf(record(later)));
    expect(Math.abs(drawn(shifted)[0] - (800 + highest - 500))).toBeLessThan(3);
  });

  it('may be one sample alone where that is no pulse: up to one and a half times the mean', () => {
    const tip = (height: number) => [...stretch(1, 300), height, ...stretch(1, 300)];
    expect(found(peakCurrent, currentOf(record(tip(1.4)))).value).toBeCloseTo(1.4, 9);
    expect(refused(peakCurrent, currentOf(record(tip(1.6))))).toMatchObject({
      reason: 'too-slow',
      needed: 4 * rate,
    });
  });

  it('is not told of a record that is not there', () => {
    const none = { ...currentOf(record(stretch(1, 100))), records: [] };
    for (const metric of [peakCurrent, meanCurrent])
      expect(refused(metric, { ...none, parameters: { while: 'on' } })).toMatchObject({
        reason: 'no-record',
        note: 'no channel-current of warm',
      });
  });
});

describe('the mean while on', () => {
  const on = (low: number, high: number) => {
    const samples = Array.from({ length: 12 }, () => [
      ...stretch(low, 20),
      ...stretch(high, 20),
    ]).flat();
    return found(meanCurrent, currentOf(record(samples), { while: 'on' })).value;
  };

  it.each([0.1, 1, 20])(
    'is that of the high level where the low one is below a fifth of it (%f A)',
    (size) => {
      expect(on(0.19 * size, size) / size).toBeCloseTo(1, 9);
      expect(on(0.21 * size, size) / size).toBeCloseTo(0.605, 9);
    },
  );

  it('counts from three quarters of the step on, over the low level', () => {
    // From 0.1 to 1.1: 0.85 A.
    const samples = (between: number) =>
      Array.from({ length: 12 }, () => [
        ...stretch(0.1, 20),
        ...stretch(1.1, 20),
        ...stretch(between, 5),
      ]).flat();
    const mean = (between: number) =>
      found(meanCurrent, currentOf(record(samples(between)), { while: 'on' })).value;
    expect(mean(0.86)).toBeCloseTo((20 * 1.1 + 5 * 0.86) / 25, 6);
    expect(mean(0.84)).toBeCloseTo(1.1, 6);
  });
});

describe('regulation', () => {
  const levels = [0.5, 0.4, 0.6];
  const samples = levels.flatMap((level) => stretch(level, 1000));
  const marks = [
    { name: 'late', at: 2 },
    { name: 'early', at: 1 },
  ];

  it('cuts at the marks inside the window, in order of time', () => {
    const { value, evidence } = found(regulation, currentOf(record(samples), {}, marks));
    expect(value).toBeCloseTo(0.2 / 0.5, 9);
    expect(evidence.notes).toEqual({
      'mean-1': expect.closeTo(0.5, 9),
      'mean-2': expect.closeTo(0.4, 9),
      'mean-3': expect.closeTo(0.6, 9),
    });
    const outside = [...marks, { name: 'first', at: 0 }, { name: 'last', at: 3 }];
    expect(found(regulation, currentOf(record(samples), {}, outside)).value).toBeCloseTo(0.4, 9);
  });

  it('says why a stretch has no mean', () => {
    const clipped = { ...record(samples), clipped: 5 };
    expect(refused(regulation, currentOf(clipped, {}, marks))).toMatchObject({
      reason: 'saturated',
    });
  });
});

describe('the switching cycles', () => {
  it('are drawn from one before the first peak on, eight of them', () => {
    const ripple = Array.from({ length: 1280 }, (_, k) => {
      const since = k % 32;
      return since < 12 ? 0.5 + since / 60 : 0.7 - (since - 12) / 100;
    });
    const off = stretch(0, 320);
    const outcome = found(switchingFrequency, currentOf(record([...off, ...ripple])));
    const [from, to] = drawn(outcome);
    const first = 320 + 128 + 12 + 32;
    expect(Math.abs(from - (first - 32))).toBeLessThan(34);
    expect(Math.abs(to - from - 8 * 32)).toBeLessThan(4);
    expect(((from - 320 - 12 + 2) % 32) - 2).toBeLessThan(2);
  });
});
