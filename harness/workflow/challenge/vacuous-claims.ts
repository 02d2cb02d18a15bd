import { faults as allFaults } from '../../../drivers/plant/faults/faults.ts';
import type { Plan } from '../../plan/plan.ts';
import { noEvidence } from '../../plan/reach/no-evidence.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import type { ChallengedFault, ChallengeRecord } from '../../record/challenge-record.ts';
import type { RunInputs } from '../inputs/run-inputs.ts';
import type { FaultTrial } from './challenge-fault.ts';
import type { UnitResult } from './challenge-unit.ts';

type Vacuous = ChallengeRecord['vacuous'];

/**
 * Claims that cannot fail on a lamp: those of which nothing reaches it, and those that find the very same of it with every one
 * of the faults that name them. The second is said only where all of these faults that the lamp can have were tried on it.
 */
export async function vacuousClaims(
  challenged: readonly ChallengedFault[],
  trial: FaultTrial,
): Promise<Vacuous> {
  const perLamp = await Promise.all(
    trial.lamps.map(async (inputs) => [
      ...unreached(inputs),
      ...(await unmoved(inputs, challenged, trial)),
    ]),
  );
  return perLamp.flat();
}

function unreached({ plans, lamp, rig }: RunInputs): Vacuous {
  return plans
    .filter(({ needs }) => unmetNeed(needs, lamp) === null)
    .flatMap(({ spec, conditions }) => {
      const why = conditions.map((one) => noEvidence(one, lamp, rig)).find((one) => one !== null);
      return why === undefined ? [] : [{ spec, lamp: lamp.lamp, why }];
    });
}

async function unmoved(
  inputs: RunInputs,
  challenged: readonly ChallengedFault[],
  { pool, seeds }: FaultTrial,
): Promise<Vacuous> {
  const { lamp, plans } = inputs;
  const tried = challenged.filter((own) => own.lamp === lamp.lamp && own.notTried === null);
  const judged = plans.flatMap((plan) => {
    const named = faultsOf(plan, inputs);
    const here = tried.filter(({ fault }) => named.includes(fault));
    return here.length > 0 && here.length === named.length ? [{ plan, here }] : [];
  });
  const own = judged.map(({ plan }) => plan);
  const pairs = await Promise.all(
    seeds.map(async (seed) => ({
      healthy: await pool.run({ inputs, fault: null, seed }, own),
      // Known since the fault was tried.
      ill: await Promise.all(
        tried.map(({ fault, nominalSize }) => {
          const seeded = { inputs, fault: { fault, size: nominalSize }, seed };
          const named = judged.filter(({ here }) => here.some((one) => one.fault === fault));
          return pool.run(
            seeded,
            named.map(({ plan }) => plan),
          );
        }),
      ),
    })),
  );
  return judged
    .filter(({ plan }) => !pairs.some(({ healthy, ill }) => isMoved(plan, healthy, ill)))
    .map(({ plan, here }) => ({
      spec: plan.spec,
      lamp: lamp.lamp,
      why: `it finds the same with and without ${here.map(({ fault }) => fault).join(', ')}`,
    }));
}

/** Of all faults, those that the claim is said to catch and the lamp can have. */
function faultsOf({ spec, needs }: Plan, { lamp }: RunInputs): readonly string[] {
  if (unmetNeed(needs, lamp) !== null) return [];
  return allFaults
    .filter((fault) => fault.caughtBy.includes(spec) && unmetNeed(fault.needs ?? {}, lamp) === null)
    .map(({ id }) => id);
}

function isMoved({ spec }: Plan, healthy: UnitResult, ill: readonly UnitResult[]): boolean {
  const usual = healthy[spec];
  // What was not run says nothing either way.
  if (!usual || usual.verdict === 'not run') return true;
  return ill.some((result) => spec in result && result[spec]?.figures !== usual.figures);
}
