import type { Fault } from '../../../drivers/plant/faults/fault.ts';
import type { ChallengeRecord } from '../../record/challenge-record.ts';
import type { RunInputs } from '../inputs/run-inputs.ts';
import { challengeFault } from './challenge-fault.ts';
import { ChallengePool, type PoolSetup } from './challenge-pool.ts';
import type { SpecResult, UnitResult } from './challenge-unit.ts';
import { vacuousClaims } from './vacuous-claims.ts';

export interface ChallengeRequest {
  /** One for each lamp file; a fault is tried on the first lamp that can have it. */
  readonly lamps: readonly RunInputs[];
  readonly faults: readonly Fault[];
  /** How many lamps each fault is seeded into. */
  readonly seeds: number;
  /** How many healthy lamps false alarms are counted on. */
  readonly healthy: number;
  /** Only the claims that a fault names, unless none of them catches it. */
  readonly quick: boolean;
}

/** First seed of the healthy lamps: none of them is a lamp that a fault was seeded into. */
const firstHealthySeed = 1_000_001;

/**
 * Seeds faults into simulated lamps and finds out which claims catch them, and how often healthy lamps fail. Throws a
 * Complaint `interrupted` when the signal aborts; the state file then has the results so far.
 */
export async function challengeSpecs(
  { lamps, faults, seeds: count, healthy, quick }: ChallengeRequest,
  setup: PoolSetup,
): Promise<ChallengeRecord> {
  const pool = new ChallengePool(setup);
  const seeds = Array.from({ length: count }, (_, index) => index + 1);
  const trial = { pool, lamps, seeds, quick };
  try {
    const challenged = await Promise.all(faults.map((fault) => challengeFault(fault, trial)));
    return {
      format: 'evenfall-challenge',
      version: 2,
      lamps: lamps.map(({ lamp }) => lamp.lamp),
      specs: lamps[0]?.plans.map(({ spec }) => spec) ?? [],
      seeds: count,
      faults: challenged,
      vacuous: await vacuousClaims(challenged, trial),
      healthy: await runHealthyLamps(pool, lamps, healthy),
    };
  } finally {
    await pool.close();
  }
}

/** The files take turns. */
async function runHealthyLamps(
  pool: ChallengePool,
  files: readonly RunInputs[],
  lamps: number,
): Promise<ChallengeRecord['healthy']> {
  const turns = Math.ceil(lamps / files.length);
  const inTurn = Array.from({ length: turns }, () => files).flat();
  const results = await Promise.all(
    inTurn.slice(0, lamps).map((inputs, index) => {
      const unit = { inputs, fault: null, seed: firstHealthySeed + index };
      return pool.run(unit, inputs.plans);
    }),
  );
  const isUndecided = (verdict: string): boolean =>
    verdict === 'inconclusive' || verdict === 'error';
  const bySpec: Record<string, number> = {};
  for (const [spec, { verdict }] of results.flatMap((result) => Object.entries(result))) {
    if (verdict === 'fail' || isUndecided(verdict)) bySpec[spec] = (bySpec[spec] ?? 0) + 1;
  }
  return {
    lamps,
    falseAlarms: results.filter((result) => says(result, ({ verdict }) => verdict === 'fail'))
      .length,
    undecided: results.filter((result) => says(result, ({ verdict }) => isUndecided(verdict)))
      .length,
    bySpec,
  };
}

function says(result: UnitResult, what: (own: SpecResult) => boolean): boolean {
  return Object.values(result).some(what);
}
