import { describe, expect, it } from 'vitest';
import type { CommandedFade } from '../../../harness/measure/features/fade/commanded-fade.ts';
import { fadeEnds, shapeWidth } from '../../../harness/measure/features/fade/fade-ends.ts';
import { fadeModel } from '../../../harness/measure/features/fade/fade-model.ts';
import { fadePlateaus } from '../../../harness/measure/features/fade/fade-plateaus.ts';
import { fitFade } from '../../../harness/measure/features/fade/fit-fade.ts';
import { passings } from '../../../harness/measure/features/fade/passings.ts';
import { visibleModulation } from '../../../harness/measure/features/fade/visible-modulation.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';

const rate = 1000;

/** From 1 to 2 s, with a second of steady light before and two after. */
function commanded(startLevel: number, endLevel: number, rest: Partial<CommandedFade> = {}) {
  return {
    ...{ from: 1, to: 2, before: { from: 0, to: 1 }, after: { from: 2, to: 4 } },
    ...{ startPlateau: startLevel, endPlateau: endLevel, startLevel, endLevel },
    ...{ logarithmic: true, course: (part: number) => part, straight: true },
    ...rest,
  };
}

function record(light: (t: number) => number): Waveform {
  const samples = Float64Array.from({ length: 4 * rate }, (_, k) => light((k + 0.5) / rate));
  return { samples, rate, start: 0, unit: 'lx', clipped: 0 };
}

/** Straight in the logarithm from `start` to `end` between two instants. */
const ramp = (start: number, end: number, from = 1, to = 2) => {
  return (t: number) => start * (end / start) ** Math.min(1, Math.max(0, (t - from) / (to - from)));
};

describe('the light that a fitted line means', () => {
  const plateaus = { startLevel: 8, endLevel: 2, startPlateau: 9, endPlateau: 1 };
  const line = { start: 1, duration: 2 };

  it('is its plateau, its ramp, its plateau', () => {
    const { levelAt } = fadeModel(commanded(8, 2), plateaus, line);
    expect([0.999, 1, 2, 3, 3.001].map(levelAt)).toEqual([9, 8, 4, 2, 1]);
    const straight = fadeModel(commanded(8, 2, { logarithmic: false }), plateaus, line);
    expect([0.999, 1, 2, 3, 3.001].map(straight.levelAt)).toEqual([9, 8, 5, 2, 1]);
    const bent = fadeModel(commanded(8, 2, { course: (part) => part ** 2 }), plateaus, line);
    expect(bent.levelAt(2)).toBeCloseTo(8 * 4 ** -0.25, 12);
  });

  it('has the mean under a Hann window: of an exponential the same factor everywhere (closed form)', () => {
    const { meanAt } = fadeModel(commanded(8, 2), plateaus, line);
    expect(meanAt(0.4, 1)).toBe(9);
    expect(meanAt(3.6, 1)).toBe(1);
    // ∫ (1 + cos 2πx) e^(ax) over ± ½ is 2 sinh(a/2) (1/a - a / (a² + 4π²)).
    const factor = (width: number) => {
      const a = (width / 2) * Math.log(1 / 4);
      return 2 * Math.sinh(a / 2) * (1 / a - a / (a * a + 4 * Math.PI ** 2));
    };
    for (const width of [0.5, 1]) {
      expect(meanAt(2, width) / (4 * factor(width))).toBeCloseTo(1, 5);
      expect(meanAt(1.8, width) / (8 * 4 ** -0.4 * factor(width))).toBeCloseTo(1, 5);
    }
    // Half of the window lies on the plateau of 9, half on a ramp that begins at 8.
    expect(meanAt(1, 0.01)).toBeCloseTo(8.5, 1);
    expect(meanAt(3, 0.01)).toBeCloseTo(1.5, 1);
    const straight = fadeModel(commanded(8, 2, { logarithmic: false }), plateaus, line);
    expect(straight.meanAt(2, 0.5)).toBeCloseTo(5, 9);
  });
});

describe('the plateaus of a fade', () => {
  const why = (light: (t: number) => number, fade = commanded(1, 0.1)) =>
    fadePlateaus(record(light), fade);

  it('are the light before and after it, from 40 % of each on', () => {
    // On its way until 0.39 of either plateau.
    const late = (t: number) => (t < 0.39 ? 3 : t < 1 ? 1 : t < 2.77 ? 0.5 : 0.1);
    const [first, last] = [expect.closeTo(1, 9), expect.closeTo(0.1, 9)];
    expect(why(late)).toEqual({
      ...{ startLevel: first, endLevel: last, startPlateau: first, endPlateau: last },
      ...{ standard: expect.closeTo(0, 9), noise: 0 },
    });
  });

  it('have a floor in proportion to the other where they are dark', () => {
    const down = (t: number) => (t < 1 ? 2 : 0);
    expect(why(down, commanded(0.5, 0.001, { endPlateau: 0 }))).toMatchObject({
      ...{ startLevel: expect.closeTo(2, 9), startPlateau: expect.closeTo(2, 9), endPlateau: 0 },
      endLevel: expect.closeTo(0.004, 12),
    });
    const up = (t: number) => (t < 2 ? 0 : 2);
    expect(why(up, commanded(0.001, 0.5, { startPlateau: 0 }))).toMatchObject({
      ...{ endLevel: expect.closeTo(2, 9), startPlateau: 0, endPlateau: expect.closeTo(2, 9) },
      startLevel: expect.closeTo(0.004, 12),
    });
  });

  it('are refused in words where there is none, no light, or no rest', () => {
    const none = (note: string) => ({ measured: false, reason: 'no-plateau', note });
    const steady = ramp(1, 0.1);
    const nothing = { from: 1, to: 1 };
    expect(why(steady, commanded(1, 0.1, { before: nothing }))).toEqual(
      none('no steady light is recorded before the fade'),
    );
    expect(why(steady, commanded(1, 0.1, { after: { from: 2, to: 2.01 } }))).toEqual(
      none('no steady light is recorded after the fade'),
    );
    expect(why(() => 0)).toEqual({
      measured: false,
      reason: 'dark',
      note: 'no light on a plateau that is commanded to be lit',
    });
    // A lamp that does not fade at all: its two means differ by rounding alone.
    expect(why(() => 1)).toEqual({
      ...{ measured: false, reason: 'no-fade' },
      note: 'the light is the same before and after',
    });
    expect(why(() => 1, commanded(1, 0.1, { logarithmic: false }))).toMatchObject({
      reason: 'no-fade',
    });
    const drifting = (t: number) => (t < 1 ? 0.2 + 1.2 * t : ramp(1, 0.1)(t));
    expect(why(drifting)).toEqual(none('the light does not settle before the fade'));
    const going = (t: number) => ramp(1, 0.1)(t) * (t > 2 ? t - 1 : 1);
    expect(why(going)).toEqual(none('the light does not settle after the fade'));
  });

  it('doubt a quarter of what their halves differ by, against the whole fade', () => {
    // The settled parts are 0.6 and 1.2 s; halves of a straight drift differ by half of what it changes over them.
    const drift = (t: number) => (t < 1 ? 1 + 0.05 * t : 2.5 + 0.03 * t);
    const fade = commanded(1, 2.5, { logarithmic: false });
    const found = fadePlateaus(record(drift), fade);
    if ('measured' in found) throw new Error(found.note);
    const span = found.endLevel - found.startLevel;
    const [before, after] = [(0.05 * 0.6) / 2 / span / 4, (0.03 * 1.2) / 2 / span / 4];
    expect(found.standard).toBeCloseTo(Math.hypot(before, after), 4);
  });
});

describe('a fade that was fitted', () => {
  const observed = (light: (t: number) => number, fade = commanded(1, 0.1)) => {
    const waveform = record(light);
    const fit = fitFade(waveform, fade);
    if ('measured' in fit) throw new Error(JSON.stringify(fit));
    return { waveform, fit, commanded: fade };
  };

  it('begins and ends where the light does, early or late', () => {
    for (const [from, to] of [
      [1, 2],
      [1.1, 2.1],
      [1.05, 1.9],
    ]) {
      const { fit } = observed(ramp(1, 0.1, from, to));
      expect(fit.start).toBeCloseTo(from ?? 0, 3);
      expect(fit.end).toBeCloseTo(to ?? 0, 3);
      expect(fit.duration).toBeCloseTo((to ?? 0) - (from ?? 0), 3);
    }
  });

  it('passes each share of its way when the line does', () => {
    const { at } = passings(observed(ramp(1, 0.1)), [0.1, 0.5, 0.9], 0.04);
    for (const [k, instant] of [1.1, 1.5, 1.9].entries()) expect(at[k]).toBeCloseTo(instant, 3);
    const linear = commanded(1, 0.1, { logarithmic: false });
    const straight = (t: number) => 1 - 0.9 * Math.min(1, Math.max(0, t - 1));
    const own = passings(observed(straight, linear), [0.25, 0.75, 1.5], 0.04);
    expect(own.at[0]).toBeCloseTo(1.25, 3);
    expect(own.at[1]).toBeCloseTo(1.75, 3);
    expect(own.at[2]).toBeNaN();
    // 0.3 % of the light over the slope of 0.9 a second.
    expect(own.standard[0]).toBeCloseTo((0.003 * 0.775) / 0.9, 6);
  });

  it('has ends of its own where it creeps', () => {
    const exact = observed(ramp(1, 0.1));
    const width = shapeWidth(exact);
    expect(width).toBeCloseTo(0.04, 3);
    const none = fadeEnds(exact, width);
    expect(Math.abs(none.startShift)).toBeLessThan(1e-3);
    expect(Math.abs(none.endShift)).toBeLessThan(1e-3);
    // The last tenth of the way takes twice as long.
    const slow = (t: number) => (t < 1.9 ? ramp(1, 0.1)(t) : ramp(10 ** -0.9, 0.1, 1.9, 2.1)(t));
    const creeping = fadeEnds(observed(slow), width);
    expect(creeping.endShift).toBeGreaterThan(0.03);
    expect(creeping.endShift).toBeLessThan(0.12);
    expect(Math.abs(creeping.startShift)).toBeLessThan(0.02);
  });

  it('is looked at in averages of 4 % of it, 20 ms at least, and never more than a quarter', () => {
    const widthOf = (duration: number, own = rate, resolution?: number) =>
      shapeWidth(
        { fit: { duration }, waveform: { rate: own } } as unknown as Parameters<
          typeof shapeWidth
        >[0],
        resolution,
      );
    expect(widthOf(2)).toBeCloseTo(0.08, 12);
    expect(widthOf(0.3)).toBeCloseTo(0.02, 12);
    expect(widthOf(0.04)).toBeCloseTo(0.01, 12);
    expect(widthOf(0.04, 100)).toBeCloseTo(0.04, 12);
    expect(widthOf(2, rate, 0.1)).toBeCloseTo(0.2, 12);
  });
});

describe('the modulation that may be seen', () => {
  it('is 0.025 f % below 90 Hz and 0.08 f % from there on, never above 1 (IEEE 1789, from memory)', () => {
    expect(visibleModulation(40)).toBeCloseTo(0.01, 12);
    expect(visibleModulation(89.999)).toBeCloseTo(0.0225, 6);
    expect(visibleModulation(90)).toBeCloseTo(0.072, 12);
    expect(visibleModulation(1250)).toBeCloseTo(1, 12);
    expect(visibleModulation(5000)).toBe(1);
  });
});
