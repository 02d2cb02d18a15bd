import { describe, expect, it } from 'vitest';
import { signalRecord } from '../../harness/measure/analysis/signal-record.ts';
import type { Commanded, Observation, Window } from '../../harness/measure/observation.ts';
import { measured, type NotMeasurable, notMeasurable } from '../../harness/measure/outcome.ts';
import { assess } from '../../harness/verdict/assess.ts';
import {
  borneOut,
  instantErrors,
  mayHaveBegunLate,
  withInstant,
} from '../../harness/verdict/instant-errors.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { metricOf } from './assessed.ts';

const rate = 1000;

interface Story {
  /** Records from an instant to another, s, by capture. */
  readonly records?: Readonly<Record<string, readonly [from: number, to: number]>>;
  readonly window?: Window;
  readonly reference?: Window;
  /** Instants at which the commanded light changes, s. */
  readonly turns?: readonly number[];
  readonly supplyChanges?: Commanded['supplyChanges'];
  readonly standardInstant?: number;
}

function story({
  records = { light: [0, 2] },
  window = { from: 1, to: 2 },
  reference,
  turns = [],
  supplyChanges,
  standardInstant = 0,
}: Story): Observation {
  const starts = [0, ...turns];
  const segments = starts.map((from, k) => ({
    ...{ from, to: starts[k + 1] ?? 10, startLevel: k % 2 ? 0.1 : 1, endLevel: k % 2 ? 0.1 : 1 },
  }));
  return {
    of: 'light',
    window,
    ...(reference && { reference }),
    records: Object.entries(records).map(([capture, [from, to]]) =>
      signalRecord(
        { capture, signal: 'light', of: 'light' },
        {
          ...{ rate, start: from, unit: 'lx', clipped: 0 },
          samples: new Float64Array(Math.round((to - from) * rate)).fill(5),
        },
      ),
    ),
    ...{ colour: [], frames: [], parameters: {} },
    commanded: {
      channels: [{ channel: 'light', lumen: 100, xy: [0.3, 0.3], maxCurrent: 1, segments }],
      ...{ marks: [], duration: 10, curve: { kind: 'linear', bottom: 0.001 }, standardInstant },
      ...(supplyChanges && { supplyChanges }),
    },
  };
}

const input = (
  standardStart?: number,
  capture = 'light',
  sharedStart?: string,
): InputCalibration => ({
  ...{ capture, signal: 'light', of: 'light', timeBase: 0, step: 0 },
  ...{ standardScale: 0, standardOffset: 0, noise: 0 },
  ...(standardStart !== undefined && { standardStart }),
  ...(sharedStart !== undefined && { sharedStart }),
});

const tooShort = (found: number, needed: number) => ({
  ...{ measured: false, reason: 'too-short', unit: 's' },
  ...{ found: expect.closeTo(found, 9), needed: expect.closeTo(needed, 9) },
  note: 'the record may not hold all of the window',
});

describe('a record that may have begun late', () => {
  it('does not hold a window that may have begun before it: by √3 of the uncertainty of its start', () => {
    expect(mayHaveBegunLate(story({ records: { light: [1.01, 3] } }), [input(0.01)])).toEqual(
      tooShort(1 - 0.01 - 0.01 * Math.sqrt(3), 1),
    );
    const early = (start: number) => story({ records: { light: [start, 3] } });
    // 2 ms and one and a half samples are forgiven.
    const latest = 1 + 0.0035 - 0.05 * Math.sqrt(3);
    expect(mayHaveBegunLate(early(latest - 1e-4), [input(0.05)])).toBe(null);
    expect(mayHaveBegunLate(early(latest + 1e-4), [input(0.05)])).not.toBe(null);
  });

  it('is none where nobody doubts its start', () => {
    expect(mayHaveBegunLate(story({ records: { light: [1.5, 3] } }), [input()])).toBe(null);
    expect(mayHaveBegunLate(story({ records: { light: [1.5, 3] } }), [])).toBe(null);
  });

  it('may end before its window does', () => {
    expect(mayHaveBegunLate(story({ records: { light: [0, 1.5] } }), [input(0.01)])).toBe(null);
  });

  it('misses nothing before the first command', () => {
    const from0 = (turns: readonly number[], more: Story = {}) =>
      mayHaveBegunLate(
        story({ window: { from: 0, to: 2 }, records: { light: [0.1, 2] }, turns, ...more }),
        [input(0.05)],
      );
    const begun = 0.1 + 0.05 * Math.sqrt(3);
    expect(from0([0.5])).toBe(null);
    expect(from0([])).toBe(null);
    expect(from0([0.1, 0.5])).toEqual(tooShort(2 - begun, 2));
    expect(from0([0.5], { supplyChanges: [{ from: 0.1, to: 0.2 }] })).toEqual(
      tooShort(2 - begun, 2),
    );
    // What was ordered at the very beginning is no change of the record's.
    expect(from0([0.5], { supplyChanges: [{ from: 0, to: 0.01 }] })).toBe(null);
  });

  it('counts where it holds the most of a window, and only where it was read', () => {
    const records = { late: [1.2, 3], light: [0, 1.9] } as const;
    const both = [input(0.01, 'late'), input(0.01, 'light')];
    expect(mayHaveBegunLate(story({ records }), both)).toBe(null);
    const turned = { light: [0, 1.9], late: [1.2, 3] } as const;
    expect(mayHaveBegunLate(story({ records: turned }), both)).toBe(null);
    expect(mayHaveBegunLate(story({ records }), [input(0.01, 'late')])).toEqual(
      tooShort(2 - 1.2 - 0.01 * Math.sqrt(3), 1),
    );
    // One that has nothing of the window says nothing of it.
    expect(mayHaveBegunLate(story({ records: { light: [5, 6] } }), [input(0.01)])).toBe(null);
  });

  it('has to hold the reference as well', () => {
    const reference = { from: 0.2, to: 0.7 };
    expect(
      mayHaveBegunLate(story({ reference, records: { light: [0.3, 3] } }), [input(0.01)]),
    ).toEqual(tooShort(0.7 - 0.3 - 0.01 * Math.sqrt(3), 0.5));
  });
});

describe('a refusal that falls on the lamp', () => {
  const refusal = notMeasurable('no-plateau', { note: 'it does not settle' }) as NotMeasurable;
  const never = () => {
    throw new Error('computed again');
  };
  /** A value from a start on, else something else. */
  const from =
    (least: number, otherwise = refusal) =>
    (one: Observation) =>
      (one.records[0]?.waveform.start ?? 0) > least ? measured(1) : otherwise;

  it('is no matter of time where it does not fall on the lamp, or the instants are known', () => {
    const other = notMeasurable('below-noise') as NotMeasurable;
    expect(borneOut(other, story({ standardInstant: 0.1, turns: [1] }), [], never)).toBe(other);
    expect(borneOut(refusal, story({ turns: [1] }), [input()], never)).toBe(refusal);
  });

  it('stands within two standard uncertainties either way, or is the bench’s', () => {
    const told = story({ standardInstant: 0.1, turns: [1] });
    const untimed = (note: string) => ({
      ...{ measured: false, reason: 'untimed', found: 0.1, unit: 's' },
      note: `it may be the bench's lateness: within it ${note}, else no-plateau`,
    });
    expect(borneOut(refusal, told, [input()], from(0.19))).toEqual(untimed('there is a value'));
    expect(borneOut(refusal, told, [input()], from(0.21))).toBe(refusal);
    const back = (least: number) => (one: Observation) =>
      (one.records[0]?.waveform.start ?? 0) < least
        ? notMeasurable('below-noise')
        : notMeasurable('no-edge');
    expect(borneOut(refusal, told, [input()], back(-0.19))).toEqual(
      untimed('the reason is below-noise'),
    );
    expect(borneOut(refusal, told, [input()], back(-0.21))).toBe(refusal);
  });

  it('stands only where the record holds the window to its end', () => {
    const until = (end: number, standardStart?: number) =>
      borneOut(refusal, story({ records: { light: [0, end] } }), [input(standardStart)], never);
    expect(until(1.9965 + 1e-3)).toBe(refusal);
    expect(until(1.99)).toEqual(tooShort(0.99, 1));
    // A bench hands its record over before the next window: 15 % of it.
    expect(until(1.86, 0.01)).toBe(refusal);
    expect(until(1.84, 0.01)).toEqual(tooShort(0.84, 1));
  });
});

describe('what metrics state of the instant of the command', () => {
  const [other, own] = [
    { name: 'noise', standard: 0.5 },
    { name: 'instant of the command', standard: 0.01 },
  ];
  const reference = { name: 'instant of the reference', standard: 0.003 };
  const whole = (standard: number) => ({ name: 'instant of the command', standard });

  it('holds where it is as much as what moving the records shows, or more', () => {
    for (const standard of [0.005, 0.01])
      expect(withInstant([other, own], [whole(standard), reference])).toEqual([
        other,
        own,
        reference,
      ]);
    expect(withInstant([other, own], [])).toEqual([other, own]);
    expect(withInstant([other, own], [reference])).toEqual([other, own, reference]);
  });

  it('is replaced where that is more', () => {
    expect(withInstant([other, own], [whole(0.02), reference])).toEqual([
      other,
      whole(0.02),
      reference,
    ]);
    expect(withInstant([other], [reference, whole(0.02)])).toEqual([other, whole(0.02), reference]);
  });
});

describe('records of several starts', () => {
  const records = { a: [0, 2], b: [0, 2], c: [0, 2] } as const;
  const weights: Readonly<Record<string, number>> = { a: 1, b: 10, c: 100 };
  const weighted = ({ records: all }: Observation) =>
    measured(
      all.reduce((sum, { capture, waveform }) => sum + (weights[capture] ?? 0) * waveform.start, 7),
    );
  const told = story({ records, turns: [1], standardInstant: 0.001 });
  const found = (inputs: readonly InputCalibration[]) =>
    instantErrors(weighted(told), told, inputs, weighted);
  const all = { name: 'instant of the command', standard: expect.closeTo(0.111, 9) };

  it('are moved against each other, those of one start together', () => {
    expect(
      found([input(0.01, 'a', 'scope'), input(0.01, 'b', 'scope'), input(0.02, 'c', 'meter')]),
    ).toEqual([
      all,
      { name: 'start of scope', standard: expect.closeTo(0.11, 9) },
      { name: 'start of meter', standard: expect.closeTo(2, 9) },
    ]);
  });

  it('are not where there is one start, or all others are known', () => {
    expect(found([input(0.01, 'a', 'scope'), input(0.01, 'b', 'scope')])).toEqual([all]);
    expect(found([input(0.01, 'a', 'scope'), input(0, 'c', 'meter')])).toEqual([all]);
    expect(found([input(0.01, 'a', 'scope'), input(0.02, 'c')])).toEqual([all]);
  });

  it('tell nothing where an error of one of them leaves nothing to measure', () => {
    const fragile = (one: Observation) => {
      const [a, , c] = one.records.map(({ waveform }) => waveform.start);
      return a === 0 && c !== 0 ? notMeasurable('no-edge') : weighted(one);
    };
    const inputs = [input(0.01, 'a', 'scope'), input(0.02, 'c', 'meter')];
    expect(instantErrors(weighted(told), told, inputs, fragile)).toEqual(notMeasurable('no-edge'));
  });

  it('are said to be lost in it, which is no fault of the lamp', () => {
    const metric = metricOf(({ records: [first] }) =>
      first?.waveform.start === 0 ? measured(1) : notMeasurable('no-edge'),
    );
    const near = story({ turns: [1], standardInstant: 0.01 });
    expect(assess(metric, near, [input()], 2)).toEqual({
      outcome: {
        ...{ measured: false, reason: 'below-noise' },
        note: 'within the standard uncertainty of the instants of commands and records',
      },
      captures: ['light'],
    });
  });
});

describe('a change of the supply', () => {
  const start = ({ records: [first] }: Observation) =>
    measured(first?.waveform.start ?? Number.NaN);
  /** By how much the records are moved for it, s. */
  const moved = (more: Story): number => {
    const told = story({ supplyChanges: [{ from: 0.5, to: 0.6 }], standardInstant: 1e-4, ...more });
    const found = instantErrors(start(told), told, [], start);
    return 'reason' in found ? Number.NaN : (found[0]?.standard ?? 0);
  };
  // Anywhere between its order and its confirmation.
  const own = 0.1 / Math.sqrt(3);

  it('matters to a window that it falls in, or ended just before', () => {
    expect(moved({ window: { from: 0, to: 2 } })).toBeCloseTo(own, 12);
    // Four standard uncertainties: 0.231 s.
    expect(moved({ window: { from: 0.82, to: 2 }, turns: [0.7] })).toBeCloseTo(own, 12);
    expect(moved({ window: { from: 0.84, to: 2 }, turns: [0.83] })).not.toBeCloseTo(own, 5);
  });

  it('matters for two seconds, while the lamp may still be starting', () => {
    expect(moved({ window: { from: 2.59, to: 3 } })).toBeCloseTo(own, 12);
    expect(moved({ window: { from: 2.61, to: 3 } })).toBe(0);
  });

  it('matters no more where something else was commanded since', () => {
    expect(moved({ window: { from: 0.9, to: 1.5 }, turns: [0.7] })).toBe(0);
    // What was commanded before, or long after, does not hide it.
    expect(moved({ window: { from: 0.9, to: 1.5 }, turns: [0.55] })).toBeCloseTo(own, 12);
    expect(moved({ window: { from: 0.9, to: 1.5 }, turns: [1.74] })).toBeCloseTo(own, 12);
    expect(moved({ window: { from: 0.9, to: 1.5 }, turns: [1.72] })).not.toBeCloseTo(own, 5);
  });

  it('cannot have come before its order', () => {
    expect(moved({ window: { from: 0.1, to: 0.5 } })).not.toBeCloseTo(own, 5);
    expect(moved({ window: { from: 0.1, to: 0.51 } })).toBeCloseTo(own, 12);
    expect(moved({ window: { from: 4, to: 5 }, reference: { from: 0.1, to: 0.51 } })).toBeCloseTo(
      own,
      12,
    );
  });
});
