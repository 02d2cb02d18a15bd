import { afterAll, describe, expect, test } from 'vitest';
import { faults } from '../../drivers/plant/faults/faults.ts';
import { knownSignatures } from '../../harness/diagnose/causes/known-signatures.ts';
import { likelyCauses } from '../../harness/diagnose/causes/likely-causes.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { recordUnit } from '../../harness/workflow/challenge/challenge-unit.ts';
import { PlantLane } from '../../harness/workflow/lanes/plant-lane.ts';
import { sampled } from '../sampled.ts';
import { shippedLamps, trialOf } from '../signatures/errands.ts';

/** A sample over the families, at their nominal sizes; `npm run signature-table` tries them all. */
const tried = [
  'channels-out-of-step',
  'dead-zone',
  'crosstalk',
  'stuck-bit',
  'leakage',
  'low-current',
  'medium-pwm',
  'supply-sag',
  'sequence-ignored',
  'slots-swapped',
  'send-twice-ignored',
  'recalls-fade',
  'console-range-wraps',
  'last-level-forgotten',
];

/** Claims beside those that a fault's author names: quick ones of every kind, so that passes have their say. */
const beside = [
  'at-once',
  'channels-keep-apart',
  'console-range',
  'crisp-edges',
  'dali-answers',
  'dali-levels',
  'fades-on-time',
  'follows-curve',
  'low-risk',
  'mean-current',
  'mix-reaches-bottom',
  'monotone',
  'reaches-bottom',
  'recalls-level',
  'regulation',
  'sacn-priority',
  'slot-range',
];

/** Seconds of an idle machine, much more of a busy one. */
const patience = 300_000;

const lamps = shippedLamps();
const lane = new PlantLane();
afterAll(() => lane.close());

/** Another lamp than those that the signatures came from. */
const seed = 5;

async function runOf(fault: string | null): Promise<RunRecord> {
  const known = faults.find(({ id }) => id === fault);
  const trial = known ? trialOf(known, lamps, { size: 1, seed }) : null;
  const inputs = lamps.find(({ lamp }) => lamp.lamp === (trial?.lamp ?? 'alcove-6'));
  if (!inputs) throw new Error(`no lamp for ${fault}`);
  const wanted = new Set([...beside, ...(known?.caughtBy ?? [])]);
  const plans = inputs.plans.filter(({ spec }) => wanted.has(spec));
  const unit = {
    inputs,
    seed,
    fault: trial?.fault ? { fault: trial.fault, size: trial.size } : null,
  };
  return recordUnit(unit, plans, lane, new AbortController().signal);
}

describe('what is named first for a lamp that the signatures do not know', () => {
  test.each(sampled(tried, 4))(
    '%s',
    async (fault) => {
      const [cause] = likelyCauses(await runOf(fault), knownSignatures());
      const own = knownSignatures().find((one) => one.fault === fault);
      expect([fault, ...(own?.alike ?? [])]).toContain(cause?.fault);
    },
    patience,
  );

  test(
    'nothing for a healthy lamp',
    async () => {
      expect(likelyCauses(await runOf(null), knownSignatures())).toEqual([]);
    },
    patience,
  );
});
