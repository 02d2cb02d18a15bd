import { describe, expect, it } from 'vitest';
import { switchingCycles } from '../../../harness/measure/features/current/switching-cycles.ts';
import { edgeDuration } from '../../../harness/measure/features/current/transitions.ts';
import { fallTime, riseTime } from '../../../harness/measure/metrics/current/edge-time.ts';
import { meanCurrent } from '../../../harness/measure/metrics/current/mean-current.ts';
import { peakCurrent } from '../../../harness/measure/metrics/current/peak-current.ts';
import { regulation } from '../../../harness/measure/metrics/current/regulation.ts';
import { shortestPulse } from '../../../harness/measure/metrics/current/shortest-pulse.ts';
import {
  offTime,
  rippleCurrent,
  switchingFrequency,
} from '../../../harness/measure/metrics/current/switching.ts';
import { turnOnOvershoot } from '../../../harness/measure/metrics/current/turn-on-overshoot.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { expectLawsOfUnits } from '../laws-of-units.ts';
import { deviates } from '../light-of.ts';
import { found, refused } from '../well-formed.ts';
import { currentOf, integratedCurrent } from './current-of.ts';

const rate = 2 ** 20;

/** Samples that are means of a current over their intervals, from its value at an instant in samples. */
function sampled(
  current: (k: number) => number,
  count: number,
  { noise = 0, fine = 16, seed = 7 } = {},
): Waveform {
  const next = deviates(seed);
  const samples = Float64Array.from({ length: count }, (_, k) => {
    let sum = 0;
    for (let part = 0; part < fine; part++) sum += current(k + (part + 0.5) / fine);
    return sum / fine + noise * next();
  });
  return { samples, rate, start: 0, unit: 'A', clipped: 0 };
}

/** Pulses every 64 samples: 10 samples up, 5 down; every fourth 20 wide at the middle, the others 28; the top overshoots. */
function pulses(k: number, overshoot = 0): number {
  const cycle = Math.floor(k / 64);
  const since = k - 64 * cycle - 12.3;
  const width = cycle % 4 === 2 ? 20 : 28;
  const down = width + 5 - 2.5;
  if (since < 0) return 0;
  if (since < 10) return 0.05 * since;
  if (since < down) return 0.5 * (1 + overshoot * Math.exp(-(since - 10) / 4));
  return 0.5 * Math.max(0, 1 - (since - down) / 5);
}

/** A triangle from 0.5 to 0.7 A: 12 samples up, 20 down, every other tip higher by 0.01 A. */
function ripple(k: number): number {
  const cycle = Math.floor(k / 32);
  const since = k - 32 * cycle;
  const tip = 0.7 + (cycle % 2 === 0 ? 0 : 0.01);
  return since < 12 ? 0.5 + ((tip - 0.5) * since) / 12 : tip - ((tip - 0.5) * (since - 12)) / 20;
}

const names = (outcome: ReturnType<typeof found>) =>
  outcome.contributions.map(({ name, isNoise }) => `${name}${isNoise ? '*' : ''}`);

describe('edges and pulses of straight flanks', () => {
  const noise = 1e-3;
  const record = currentOf(sampled((k) => pulses(k), 1024, { noise }));

  it.each([
    [riseTime, 10, 16],
    [fallTime, 5, 16],
  ])('last 0.8 of a flank, known to the noise over its slope (%#)', (metric, flank, edges) => {
    const outcome = found(metric, record);
    expect(Math.abs(outcome.value * rate - 0.8 * flank)).toBeLessThan(0.3);
    expect(names(outcome)).toEqual(['sample interval', 'noise on the edge']);
    const [interval, onEdge] = outcome.contributions.map(({ standard }) => standard * rate);
    expect(interval).toBeCloseTo(1 / Math.sqrt(12), 9);
    const slope = 0.5 / flank;
    const closed = (Math.SQRT2 * noise) / slope / Math.sqrt(edges);
    expect((onEdge ?? 0) / closed).toBeGreaterThan(0.7);
    expect((onEdge ?? 0) / closed).toBeLessThan(1.8);
    const { shortest, longest } = outcome.evidence.notes;
    expect(outcome.evidence.notes).toMatchObject({ edges });
    expect(Number(shortest)).toBeLessThan(Number(longest));
    expect(Number(longest) * rate).toBeLessThan(0.8 * flank + 1.5);
    const [chart] = outcome.evidence.charts;
    expect(chart?.title).toBe('First edge');
    const levels = chart?.lines.filter(({ name }) => name.endsWith('%')).map(({ y }) => y[0] ?? 0);
    expect(levels?.[0]).toBeCloseTo(0.05, 2);
    expect(levels?.[1]).toBeCloseTo(0.45, 2);
  });

  it('of a step within a sample may last any time down to nothing', () => {
    const steps = currentOf(sampled((k) => (k % 64 < 30.4 ? 0.5 : 0), 1024));
    for (const metric of [riseTime, fallTime]) {
      const { value, contributions } = found(metric, steps);
      expect(value * rate).toBeLessThan(1.2);
      expect((contributions[0]?.standard ?? 0) * rate).toBeCloseTo(0.5, 9);
    }
  });

  it('are none of a current that only rises, or only falls', () => {
    const rising = currentOf(sampled((k) => (k < 500 ? 0 : 0.5), 1024));
    const falling = currentOf(sampled((k) => (k < 500 ? 0.5 : 0), 1024));
    found(riseTime, rising);
    found(fallTime, falling);
    expect(refused(fallTime, rising)).toMatchObject({ reason: 'no-edge', note: 'no falling edge' });
    expect(refused(riseTime, falling)).toMatchObject({ reason: 'no-edge', note: 'no rising edge' });
    expect(refused(turnOnOvershoot, falling)).toMatchObject({
      reason: 'no-edge',
      note: 'no turn-on in the window',
    });
    for (const one of [rising, falling])
      expect(refused(shortestPulse, one)).toMatchObject({
        reason: 'no-edge',
        note: 'no whole pulse in the window',
      });
  });

  it('have no duration where the record ends before they do', () => {
    const edge = (rising: boolean, index: number) => ({ at: index / rate, index, rising });
    const levels = { low: 0, high: 1, middle: 0.5 };
    const ramp = (from: number, to: number, count = 11): Waveform => ({
      ...sampled((k) => from + ((to - from) * (k - 0.5)) / (count - 1), count, { fine: 1 }),
    });
    // Straight from 0 to 1 over ten intervals: 8 of them lie between 10 % and 90 %.
    expect((edgeDuration(ramp(0, 1), edge(true, 6), levels) ?? 0) * rate).toBeCloseTo(8, 6);
    expect((edgeDuration(ramp(1, 0), edge(false, 6), levels) ?? 0) * rate).toBeCloseTo(8, 6);
    expect(edgeDuration(ramp(0, 0.8), edge(true, 7), levels)).toBeNull();
    expect(edgeDuration(ramp(0.2, 1), edge(true, 4), levels)).toBeNull();
    expect(edgeDuration(ramp(0.8, 0), edge(false, 4), levels)).toBeNull();
    expect(edgeDuration(ramp(1, 0.2), edge(false, 7), levels)).toBeNull();
  });

  it('have a shortest one, known to the intervals that its ends lie in', () => {
    const outcome = found(shortestPulse, record);
    expect(Math.abs(outcome.value * rate - 20)).toBeLessThan(0.2);
    expect(outcome.contributions).toEqual([
      { name: 'sample interval', standard: expect.closeTo(1 / (rate * Math.sqrt(6)), 12) },
    ]);
    // Four short ones; the first begins at the middle of its flank.
    expect(outcome.evidence.notes).toMatchObject({ pulses: 16 });
    const since = Number(outcome.evidence.notes['at']) * rate - 12.3 - 5;
    expect(Math.abs(since - 256 * Math.round((since - 128) / 256) - 128)).toBeLessThan(1);
  });

  it('have no shortest one where some are shorter than a sample, or the shortest than two', () => {
    const stumps = currentOf(
      sampled((k) => (k % 64 < 30 || (k > 500 && k % 64 > 45 && k % 64 < 45.4) ? 0.5 : 0), 1024),
    );
    expect(refused(shortestPulse, stumps)).toEqual({
      measured: false,
      reason: 'too-slow',
      found: rate,
      needed: 4 * rate,
      unit: 'Hz',
      note: 'some pulses are shorter than a sample',
    });
    const thin = currentOf(sampled((k) => (k % 64 < 1.5 ? 0.5 : 0), 4096, { fine: 2 }));
    expect(['too-slow', 'unresolved']).toContain(refused(shortestPulse, thin).reason);
  });

  it('overshoot at turn-on by what the top exceeds the settled current', () => {
    const one = (k: number) => (k < 100.2 ? 0 : 0.4 * (1 + 0.3 * Math.exp(-(k - 100.2) / 12)));
    const outcome = found(turnOnOvershoot, currentOf(sampled(one, 700, { noise: 1e-4 })));
    const standard = Math.hypot(...outcome.contributions.map((each) => each.standard));
    expect(Math.abs(outcome.value - 0.3)).toBeLessThan(2 * standard);
    expect(standard).toBeLessThan(0.02);
    expect(names(outcome)).toEqual(['tip between samples', 'noise of the highest samples*']);
    expect((outcome.contributions[1]?.standard ?? 0) / ((Math.SQRT2 * 1e-4) / 0.4)).toBeCloseTo(
      1,
      0,
    );
    expect(outcome.evidence.notes).toEqual({
      'settled-mean': expect.closeTo(0.4, 3),
      'settled-peak': expect.closeTo(0.4, 3),
    });
    const [chart] = outcome.evidence.charts;
    expect(chart?.title).toBe('Turn-on');
    expect(chart?.lines.some(({ name }) => name === 'settled peak')).toBe(true);
  });

  it('do not overshoot where they have no settled half', () => {
    const short = currentOf(sampled((k) => (k % 40 > 10 && k % 40 < 24 ? 0.5 : 0), 400));
    const { found: own, needed = 0, ...rest } = refused(turnOnOvershoot, short);
    expect(rest).toEqual({
      measured: false,
      reason: 'too-slow',
      unit: 'Hz',
      note: 'longest pulse',
    });
    expect(own).toBe(rate);
    expect((16 * rate) / needed).toBeCloseTo(14, 0);
  });

  it.each([riseTime, fallTime, shortestPulse, turnOnOvershoot, meanCurrent, peakCurrent])(
    'have the same $id in every unit',
    (metric) => {
      const made = { noise: 1e-3 };
      const tops = currentOf(
        sampled((k) => pulses(k, 0.2), 1024, made),
        { while: 'on' },
      );
      expect(expectLawsOfUnits(metric, tops).measured).toBe(true);
      expectLawsOfUnits(metric, currentOf(sampled((k) => (k % 3 < 1 ? 0.5 : 0), 512, made)));
      expectLawsOfUnits(metric, currentOf(sampled(() => 0.5, 512, made)));
    },
  );
});

describe('the mean while on', () => {
  it('is that of the tops, known to their scatter', () => {
    const noise = 2e-3;
    const record = currentOf(
      sampled((k) => (k % 64 < 32 ? 0.5 : 0), 2048, { noise }),
      { while: 'on' },
    );
    const { value, contributions } = found(meanCurrent, record);
    expect(value).toBeCloseTo(0.5, 3);
    expect(contributions).toEqual([
      {
        ...{ name: 'scatter within the window', standard: expect.any(Number), isNoise: true },
        // Student's, of the pieces that the scatter is known from.
        allowance: 1.2144,
      },
    ]);
    expect((contributions[0]?.standard ?? 0) / (noise / Math.sqrt(1024))).toBeCloseTo(1, 1);
  });

  it('counts what lies above three quarters of the step', () => {
    // Two tops: 0.5 A, and 0.4 A of which 80 % lies above the threshold.
    const two = (k: number) => (k % 64 < 20 ? 0.5 : k % 64 < 30 ? 0.4 : 0);
    const { value } = found(meanCurrent, currentOf(sampled(two, 2048), { while: 'on' }));
    expect(value).toBeCloseTo((20 * 0.5 + 10 * 0.4) / 30, 2);
    const lower = (k: number) => (k % 64 < 20 ? 0.5 : k % 64 < 30 ? 0.3 : 0);
    expect(found(meanCurrent, currentOf(sampled(lower, 2048), { while: 'on' })).value).toBeCloseTo(
      0.5,
      2,
    );
  });

  it('is that of all where the current does not go off, and none where there is no current', () => {
    const on = currentOf(sampled(ripple, 1024), { while: 'on' });
    expect(found(meanCurrent, on).value).toBeCloseTo(0.6025, 3);
    expect(
      refused(
        meanCurrent,
        currentOf(
          sampled(() => 0, 512),
          { while: 'on' },
        ),
      ),
    ).toMatchObject({
      reason: 'dark',
      note: 'no current in the window',
    });
  });
});

describe('a ripple of straight flanks', () => {
  const record = currentOf(sampled(ripple, 32 * 41 + 7));

  it('has its size, its times and its frequency, though averages cut its tips', () => {
    const cycles = switchingCycles(record.records[0]?.waveform ?? sampled(ripple, 64));
    if ('measured' in cycles) throw new Error(cycles.note);
    expect(cycles).toMatchObject({
      ripple: expect.closeTo(0.205, 3),
      peak: expect.closeTo(0.705, 3),
      valley: expect.closeTo(0.5, 3),
    });
    expect(cycles.frequency / (rate / 32)).toBeCloseTo(1, 3);
    expect(cycles.offTime * rate).toBeCloseTo(20, 1);
    expect(cycles.onTime * rate).toBeCloseTo(12, 1);
    expect(cycles.cycles).toBeGreaterThan(36);
    // Every other one is 5 mA off the mean: that over the root of how many there are.
    const falls = 2 * cycles.cycles;
    expect((cycles.standardRipple * Math.sqrt(falls)) / 0.005).toBeCloseTo(1, 0);
    const [first = 0, second = 0] = cycles.peaksAt;
    expect((second - first) * rate).toBeCloseTo(32, 1);
    expect((first * rate - 12) % 32).toBeCloseTo(0, 0);
    expect(cycles.peaksAt.length).toBe(20);
  });

  it.each([
    [rippleCurrent, 0.205],
    [switchingFrequency, rate / 32],
    [offTime, 20 / rate],
  ])('has a figure of its cycles (%#), with all of them beside it', (metric, expected) => {
    const outcome = found(metric, record);
    expect(outcome.value / expected).toBeCloseTo(1, 2);
    expect(names(outcome)).toEqual(['scatter over the cycles*']);
    const { notes, charts } = outcome.evidence;
    const near = (value: number, digits = 3) => expect.closeTo(value, digits);
    expect(notes).toMatchObject({ peak: near(0.705), valley: near(0.5), ripple: near(0.205) });
    expect(Number(notes['off-time']) * rate).toBeCloseTo(20, 1);
    expect(Number(notes['on-time']) * rate).toBeCloseTo(12, 1);
    expect(Number(notes['switching-frequency']) / (rate / 32)).toBeCloseTo(1, 3);
    expect(Number(notes['cycles'])).toBeGreaterThan(36);
    expect(charts.map(({ title }) => title)).toEqual(['Switching cycles']);
    const drawn = charts[0]?.lines.map(({ name }) => name) ?? [];
    expect(drawn).toEqual(expect.arrayContaining(['peak', 'valley']));
    // Eight cycles are drawn.
    const [x] = charts[0]?.lines.map((line) => line.x) ?? [];
    expect((((x?.at(-1) ?? 0) - (x?.[0] ?? 0)) * rate) / 32).toBeCloseTo(8, 0);
  });

  it('is read within the longest on-time of a modulator', () => {
    const modulated = (k: number) => (k % 1024 < 600 ? ripple(k % 1024) : 0);
    const outcome = found(rippleCurrent, currentOf(sampled(modulated, 3000)));
    expect(outcome.value).toBeCloseTo(0.205, 2);
    expect(Number(outcome.evidence.notes['cycles'])).toBeLessThan(18);
  });

  it('needs cycles, ripple above the noise, and samples on its flanks', () => {
    const few = refused(rippleCurrent, currentOf(sampled(ripple, 32 * 3)));
    expect(few).toMatchObject({
      reason: 'too-short',
      needed: 3,
      unit: '1',
      note: 'switching cycles within one on-time',
    });
    expect(few.found).toBeLessThan(3);
    const hidden = currentOf(sampled(ripple, 1024, { noise: 0.1 }));
    expect(refused(rippleCurrent, hidden)).toMatchObject({
      reason: 'no-periodicity',
      note: 'no ripple above the noise while the current is on',
    });
    // Three samples up, 29 down.
    const saw = (k: number) => (k % 32 < 3 ? 0.5 + (k % 32) / 15 : 0.7 - ((k % 32) - 3) / 145);
    const fast = refused(rippleCurrent, currentOf(sampled(saw, 1024)));
    expect(fast).toMatchObject({ reason: 'too-slow', found: rate, unit: 'Hz' });
    expect(fast.note).toBe('flanks of the ripple');
    expect(fast.needed ?? 0).toBeGreaterThan(rate);
    expect(fast.needed ?? 0).toBeLessThan(4 * rate);
  });

  it.each([rippleCurrent, switchingFrequency, offTime, peakCurrent])(
    'has the same $id in every unit',
    (metric) => {
      expect(expectLawsOfUnits(metric, record).measured).toBe(true);
      expectLawsOfUnits(metric, currentOf(sampled(ripple, 700, { noise: 2e-3 })));
      expectLawsOfUnits(metric, currentOf(sampled(ripple, 100)));
    },
  );
});

describe('the peak', () => {
  it('is that of the corners where a ripple is seen, known to the noise and the step', () => {
    const waveform = { ...sampled(ripple, 1000, { noise: 1e-4 }), step: 1e-3 };
    const outcome = found(peakCurrent, currentOf(waveform));
    const standard = Math.hypot(...outcome.contributions.map((each) => each.standard));
    expect(Math.abs(outcome.value - 0.71)).toBeLessThan(2 * standard);
    expect(standard).toBeLessThan(0.01);
    expect(names(outcome)).toEqual([
      'noise of the highest sample*',
      'between two samples',
      'rounding of the highest sample',
    ]);
    expect(outcome.contributions[2]?.standard).toBeCloseTo(1e-3 / Math.sqrt(12), 9);
    const { notes, charts } = outcome.evidence;
    expect(notes).toEqual({
      at: expect.any(Number),
      mean: expect.closeTo(0.6025, 2),
      noise: expect.any(Number),
    });
    // A tip lies 12 samples behind the beginning of a cycle.
    expect(Math.abs(((Number(notes['at']) * rate - 12) % 32) % 31)).toBeLessThan(1.1);
    expect(Number(notes['noise']) / 1e-4).toBeLessThan(40);
    expect(charts.map(({ title }) => title)).toEqual(['Around the peak']);
    expect(charts[0]?.lines.some(({ name }) => name === 'peak')).toBe(true);
  });

  it('is none of pulses that are no longer than a sample, nor of seven samples', () => {
    const spikes = (k: number) => (Math.floor(k) % 16 === 3 ? 0.5 : 0.1);
    expect(refused(peakCurrent, currentOf(sampled(spikes, 512, { noise: 1e-5 })))).toEqual({
      measured: false,
      reason: 'too-slow',
      found: rate,
      needed: 4 * rate,
      unit: 'Hz',
      note: 'the highest pulses are no longer than a sample',
    });
    expect(refused(peakCurrent, currentOf(sampled(() => 0.5, 7)))).toEqual({
      measured: false,
      reason: 'too-short',
      found: expect.closeTo(7 / rate, 12),
      needed: expect.closeTo(8 / rate, 12),
      unit: 's',
    });
    expect(found(peakCurrent, currentOf(sampled(() => 0.5, 8))).value).toBe(0.5);
  });
});

describe('regulation between two stretches that rise', () => {
  // As of a mean level: eight pieces, an eighth of the rise apart.
  const rise = 0.01;
  const really = (t: number) => (t < 1 ? 0.5 : 0.51) * (1 + rise * ((t % 1) - 0.65));
  const samples = Float64Array.from({ length: 2000 }, (_, k) => really((k + 0.5) / 1000));
  const waveform: Waveform = { samples, rate: 1000, start: 0, unit: 'A', clipped: 0 };
  const marks = [
    { name: 'high', at: 1 },
    { name: 'begin', at: 0 },
    { name: 'end', at: 2 },
  ];

  it('is their difference over their mean, from 30 % of each on', () => {
    const outcome = found(regulation, currentOf(waveform, {}, marks));
    expect(outcome.value).toBeCloseTo(0.01 / 0.505, 5);
    const relative = 1.2144 * Math.sqrt(6 / 8) * ((0.7 * rise) / 8);
    expect(outcome.contributions).toEqual([
      {
        name: 'scatter within the stretches',
        standard: expect.closeTo((relative * Math.hypot(0.5, 0.51)) / 0.505, 4),
        ...{ isNoise: true, allowance: 1.2144 },
      },
    ]);
    expect(outcome.evidence.notes).toEqual({
      'mean-1': expect.closeTo(0.5, 4),
      'mean-2': expect.closeTo(0.51, 4),
    });
  });

  it('holds for the window and its reference as well', () => {
    const observation = {
      ...currentOf(waveform),
      window: { from: 1, to: 2 },
      reference: { from: 0, to: 1 },
    };
    expect(found(regulation, observation).value).toBeCloseTo(0.01 / 0.505, 5);
  });

  it('needs two, and current in them', () => {
    expect(refused(regulation, currentOf(waveform, {}, marks.slice(1)))).toEqual({
      measured: false,
      reason: 'no-reference',
      found: 1,
      needed: 2,
      unit: '1',
      note: 'stretches divided by marks',
    });
    const dark = { ...waveform, samples: new Float64Array(2000) };
    expect(refused(regulation, currentOf(dark, {}, marks)).reason).toBe('dark');
  });

  it('is the same in every unit', () => {
    expectLawsOfUnits(regulation, currentOf(waveform, {}, marks));
    const square = integratedCurrent(
      (t) => 0.5 * (Math.floor(10 * t) / 10 + Math.min(0.05, t % 0.1)),
      1000,
      2,
    );
    expectLawsOfUnits(regulation, currentOf(square, {}, marks));
  });
});
