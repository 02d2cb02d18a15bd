import { describe, expect, it } from 'vitest';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  notMeasurable,
  type Outcome,
} from '../../harness/measure/outcome.ts';
import {
  bothWays,
  type Realise,
  realisations as realised,
} from '../../harness/verdict/realisations.ts';

/** All that noise does, to either side. */
function realisations(...asked: Parameters<typeof realised>): number | NotMeasurable {
  const doubt = realised(...asked);
  return isMeasurable(doubt) ? Math.hypot(doubt.scatter, doubt.oneSided) : doubt;
}

const never = (): boolean => false;
const refusal = notMeasurable('too-short');
/** t for 95.45 % at 8 degrees of freedom, over 2 (JCGM 100:2008 table G.2). */
const student = 1.1832;

/** The value of 10, changed in turn by each of these, and by none where the noise is made stronger. */
function changing(...changes: readonly number[]): Realise {
  return (run, times) => measured(10 + (times === 1 ? (changes[run % changes.length] ?? 0) : 0));
}

function asked(realise: Realise): { realise: Realise; calls: [number, number][] } {
  const calls: [number, number][] = [];
  return {
    calls,
    realise: (run, times) => {
      calls.push([run, times]);
      return realise(run, times);
    },
  };
}

describe('bothWays', () => {
  const nominal = measured(10);

  it('is the root mean square of the two changes', () => {
    expect(bothWays(nominal, (sign) => measured(sign > 0 ? 13 : 6))).toBeCloseTo(
      Math.sqrt((9 + 16) / 2),
      12,
    );
  });

  it('goes by the one way that is left, and hands on the refusal where none is', () => {
    const only =
      (way: 1 | -1) =>
      (sign: 1 | -1): Outcome =>
        sign === way ? measured(7) : refusal;
    expect(bothWays(nominal, only(1))).toBe(3);
    expect(bothWays(nominal, only(-1))).toBe(3);
    expect(bothWays(nominal, () => refusal)).toBe(refusal);
  });
});

describe('realisations of noise that scatters about the value', () => {
  it('give the rms change, times the factor of their number', () => {
    const standard = realisations(measured(10), never, changing(0.3, -0.3));
    expect(standard).toBeCloseTo(0.3 * student, 9);
  });

  it('are 1, 2, 4, 8, each of its own, until they are enough', () => {
    const found: number[] = [];
    const { realise, calls } = asked(changing(1, -1));
    const stop = (_: number, runs: number): boolean => found.push(runs) === 3;
    expect(realisations(measured(10), stop, realise)).toBeCloseTo(1.4347, 9);
    expect(found).toEqual([1, 2, 4]);
    expect(calls).toEqual([0, 1, 2, 3].map((run) => [run, 1]));
  });

  it('say how far the standard deviation may lie beyond them', () => {
    const most: number[] = [];
    const stop = (_: number, runs: number, atMost: number): boolean => most.push(atMost) > runs;
    realisations(measured(10), stop, changing(1, -1));
    // Root of the number over the 5 % quantile of chi-squared: 0.003932, 0.1026, 0.7107, 2.733 (handbook table).
    [0.003932, 0.1026, 0.7107, 2.733].forEach((quantile, stage) => {
      expect(most[stage]).toBeCloseTo(Math.sqrt(2 ** stage / quantile), 2);
    });
  });

  it('leave one refused realisation out, and give up at the second', () => {
    const but =
      (...refused: number[]): Realise =>
      (run) =>
        refused.includes(run) ? refusal : measured(run % 2 ? 11 : 9);
    expect(realisations(measured(10), never, but(2))).toBeCloseTo(student, 9);
    expect(realisations(measured(10), never, but(2, 5))).toBe(refusal);
  });

  it('are not made stronger where nothing changes', () => {
    const { realise, calls } = asked(changing(0));
    expect(realisations(measured(10), never, realise)).toBe(0);
    expect(calls).toHaveLength(8);
  });

  it('count as one-sided where their mean is twice its standard deviation off 0', () => {
    // m ± s in turn: the mean m has the standard deviation s / √7 (s²·8/7 over 8), so the edge is m = 2 s / √7.
    const edge = 2 / Math.sqrt(7);
    const runs = (mean: number): number => {
      const { realise, calls } = asked(changing(mean + 1, mean - 1));
      realisations(measured(10), never, realise);
      return calls.length;
    };
    for (const side of [1, -1]) {
      expect(runs(side * (edge - 0.01))).toBe(8);
      expect(runs(side * (edge + 0.01))).toBe(8 + 4);
    }
  });
});

describe('realisations of noise that drives the value to one side', () => {
  /** Of the record's own noise `made` of the value; t times as much noise on top makes √(1 + t²) times `made`. */
  const driven =
    (value: number, made: number): Realise =>
    (_, times) =>
      measured(value + made * (Math.hypot(1, times) - 1));
  const direct = (made: number) => made * (Math.SQRT2 - 1) * student;

  it('tell by four of three times the noise, of their own, what it has already made', () => {
    const { realise, calls } = asked(driven(10, 1));
    // U = 2 u has to hold all that was made, of a value that has no floor.
    const standard = realisations(measured(10), never, realise);
    expect(standard).toBeCloseTo(Math.hypot(direct(1), 0.85), 9);
    expect(2 * Number(standard)).toBeGreaterThan(1);
    expect(calls.slice(8)).toEqual([8, 9, 10, 11].map((run) => [run, 3]));
  });

  it('stand apart from those to both sides, which another measurement has anew', () => {
    expect(realised(measured(10), never, driven(10, 1))).toEqual({
      scatter: expect.closeTo(direct(1), 9),
      allowance: student,
      oneSided: expect.closeTo(0.85, 9),
    });
    expect(realised(measured(10), never, changing(1, -1))).toMatchObject({ oneSided: 0 });
  });

  it('cannot have made more of an amount than all of it', () => {
    const amount = (value: number) => measured(value, undefined, [], 0);
    expect(realisations(amount(1), never, driven(1, 1))).toBeCloseTo(
      Math.hypot(direct(1), 0.55),
      9,
    );
    expect(realisations(amount(9), never, driven(9, 1))).toBeCloseTo(
      Math.hypot(direct(1), 0.85),
      9,
    );
    // What it took away is not bounded by what is left.
    expect(realisations(amount(1), never, driven(1, -3))).toBeCloseTo(
      Math.hypot(direct(3), 3 * 0.85),
      9,
    );
    // A signed value is not bounded by itself either.
    expect(realisations(measured(1), never, driven(1, 3))).toBeCloseTo(
      Math.hypot(direct(3), 3 * 0.85),
      9,
    );
  });

  it('leave out what three times the noise makes unmeasurable', () => {
    const but =
      (refused: (run: number) => boolean): Realise =>
      (run, times) =>
        times > 1 && refused(run) ? refusal : driven(10, 1)(run, times);
    expect(
      realisations(
        measured(10),
        never,
        but((run) => run < 10),
      ),
    ).toBeCloseTo(Math.hypot(direct(1), 0.85), 9);
    expect(
      realisations(
        measured(10),
        never,
        but(() => true),
      ),
    ).toBeCloseTo(direct(1), 9);
  });
});
