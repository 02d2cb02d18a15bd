import { describe, expect, test } from 'vitest';
import { faults } from '../../drivers/plant/faults/faults.ts';
import { featuresOf } from '../../harness/diagnose/causes/features.ts';
import { fitOf } from '../../harness/diagnose/causes/fit.ts';
import { knownSignatures } from '../../harness/diagnose/causes/known-signatures.ts';
import { likelyCauses, rankedCauses } from '../../harness/diagnose/causes/likely-causes.ts';
import {
  readSignatures,
  type Signature,
  shortName,
  storedClaim,
} from '../../harness/diagnose/causes/signature.ts';
import { condition } from '../report/sample-record/condition.ts';
import { finding } from '../report/sample-record/finding.ts';
import { recordOf } from '../report/sample-record/record-of.ts';
import { spec } from '../report/sample-record/spec.ts';
import { placedCause } from '../signatures/figures.ts';

function level(of: string, value: number) {
  return finding({
    metric: 'level-error',
    title: 'Deviation from the dimming curve',
    of,
    unit: '1',
    shown: '%',
    value,
    expanded: 0.001,
    lower: -0.1,
    upper: 0.1,
    text: '± 10 %',
    verdict: Math.abs(value) > 0.1 ? 'fail' : 'pass',
  });
}

/** A run of one claim at two levels. */
function run(...values: readonly (readonly [warm: number, cool: number])[]) {
  const conditions = values.map(([warm, cool], k) =>
    condition({ level: `${k} %` }, [level('warm', warm), level('cool', cool)]),
  );
  return recordOf([spec('dimming', 'follows-curve', 'Levels follow the curve.', conditions)]);
}

function strengths(...values: readonly (readonly [warm: number, cool: number])[]): number[] {
  return [
    ...(featuresOf(run(...values))
      .get('follows-curve')
      ?.values() ?? []),
  ];
}

describe('features of a run', () => {
  test('what passes has none, but its claim was tried', () => {
    expect(featuresOf(run([0, 0.05])).get('follows-curve')).toEqual(new Map());
  });

  test('a finding counts more, the farther it is out, and with the sign of its side', () => {
    // Out by the whole tolerance of 0.1: 0.4 + 0.2.
    const [far = 0] = strengths([0.2, 0.2]);
    expect(far).toBeCloseTo(0.6, 10);
    expect(strengths([-0.2, -0.2])[0]).toBeCloseTo(-0.6, 10);
    expect(strengths([0.11, 0.11])[0]).toBeLessThan(far);
    expect(strengths([1e9, 1e9])).toEqual([1]);
  });

  test('one of two channels is half of both', () => {
    expect(strengths([0.2, 0])[0]).toBeCloseTo(0.3, 10);
  });

  test('one channel above and another below do not make a pass', () => {
    expect(Math.abs(strengths([0.2, -0.2])[0] ?? 0)).toBeCloseTo(0.6, 10);
  });

  test('a claim that the bench could not judge was not tried', () => {
    const record = run([0.2, 0.2]);
    for (const one of record.specs[0]?.conditions[0]?.findings ?? []) one.verdict = 'error';
    expect(featuresOf(record).size).toBe(0);
  });
});

const claims = (of: Record<string, Record<string, number>>): Signature['claims'] =>
  new Map(Object.entries(of).map(([claim, own]) => [claim, new Map(Object.entries(own))]));
const even = (): number => 1;

describe('fit', () => {
  const a = claims({ fades: { long: 0.8, short: 0.6 }, levels: {} });

  test('is 1 for the same, and 0 for nothing in common', () => {
    expect(fitOf(a, a, even)).toBe(1);
    expect(fitOf(a, claims({ fades: {}, levels: { low: 1 } }), even)).toBe(0);
  });

  test('is 0 where the same findings fail in the other direction', () => {
    expect(fitOf(a, claims({ fades: { long: -0.8, short: -0.6 }, levels: {} }), even)).toBe(0);
  });

  test('passes count against a cause that would fail there', () => {
    const b = claims({ fades: { long: 0.8, short: 0.6 }, levels: { low: 1, high: 1 } });
    expect(fitOf(a, b, even)).toBeLessThan(0.6);
  });

  test('a claim that only one of them tried lowers the fit, but by less than one that passes there', () => {
    const more = claims({ fades: { long: 0.8, short: 0.6 }, levels: {}, colour: { red: 1 } });
    const passing = claims({ fades: { long: 0.8, short: 0.6 }, levels: {}, colour: {} });
    const against = fitOf(more, passing, even);
    const untried = fitOf(more, a, even);
    const unrun = fitOf(a, more, even);
    expect(against).toBeLessThan(untried);
    expect(untried).toBeLessThan(unrun);
    expect(unrun).toBeLessThan(1);
  });

  test('nothing that fails fits nothing', () => {
    expect(fitOf(claims({ fades: {} }), claims({ fades: {} }), even)).toBe(0);
  });
});

test('a signature comes back from its store to within a step of strength', () => {
  const features = new Map([
    [shortName('a'), 1],
    [shortName('b'), -0.4],
    [shortName('c'), 0.01],
  ]);
  const tried = [storedClaim(0, features), storedClaim(1, new Map())].join(' ');
  const cause = { fault: 'f', title: 't', about: 'a', alike: [], tried };
  const [read] = readSignatures({ about: '', claims: ['fades', 'levels'], causes: [cause] });
  expect([...(read?.claims.keys() ?? [])]).toEqual(['fades', 'levels']);
  expect(read?.claims.get('levels')?.size).toBe(0);
  for (const [name, strength] of features)
    expect(Math.abs((read?.claims.get('fades')?.get(name) ?? 9) - strength)).toBeLessThan(1 / 26);
});

test('two causes that are alike are one, with both names', () => {
  const own = claims({ fades: { long: 0.8 } });
  const make = (fault: string, alike: string[]): Signature => ({
    fault,
    title: `Title of ${fault}`,
    about: '',
    alike,
    claims: own,
  });
  const ranked = rankedCauses(own, [make('one', ['two']), make('two', ['one'])]);
  expect(ranked).toHaveLength(1);
  expect(ranked[0]?.alike).toEqual(['Title of two']);
});

test('a healthy run has no cause', () => {
  expect(likelyCauses(run([0, 0], [0.01, 0.02]), knownSignatures())).toEqual([]);
});

describe('the signatures of the seeded faults', () => {
  const signatures = knownSignatures();

  test('are of faults that there are, and most of them', () => {
    const ids = new Set(faults.map(({ id }) => id));
    expect(signatures.filter(({ fault }) => !ids.has(fault))).toEqual([]);
    expect(signatures.length).toBeGreaterThan(0.85 * faults.length);
  });

  test('say what the faults themselves say', () => {
    for (const { fault, title, about } of signatures) {
      const known = faults.find(({ id }) => id === fault);
      expect([fault, title, about]).toEqual([fault, known?.title, known?.about]);
    }
  });

  test('are told apart: each fits itself best', () => {
    const placed = signatures.map(({ fault, claims: own }) =>
      placedCause({ fault, size: 1, lamp: '', seed: 1 }, own, signatures),
    );
    expect(placed.filter((one) => one?.place !== 0)).toEqual([]);
  });

  test('a fault without its own signature seldom fits another well', () => {
    const strangers = signatures.flatMap(({ fault, claims: own }) => {
      const placed = placedCause({ fault, size: 1, lamp: '', seed: 1 }, own, signatures);
      return placed && placed.stranger.fit >= 0.8 ? [fault] : [];
    });
    expect(strangers.length).toBeLessThan(0.08 * signatures.length);
  });
});
