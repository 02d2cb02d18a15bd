import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import type { Condition, Plan } from '../../plan/plan.ts';
import { seededRandom } from '../../plan/seeded-random.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { runCondition } from '../../run/condition/run-condition.ts';
import { wallClock } from '../wall-clock.ts';
import type { TriedLamp } from './observe-sequence.ts';

/** A claim that a lamp does not keep. */
export interface BrokenClaim {
  readonly spec: string;
  /** Key of the condition; empty for the only one. */
  readonly condition: string;
  readonly reason: string;
}

/** The claims that the lamp can have, a condition at a time, each once and then again with other noise. */
export class ClaimTurns {
  readonly #tried: TriedLamp;
  readonly #turns: readonly { readonly plan: Plan; readonly condition: Condition }[];
  readonly #seed: number;
  #next = 0;

  /** `share` of `of` threads: each takes other conditions. */
  constructor(
    plans: readonly Plan[],
    tried: TriedLamp,
    { seed, share, of }: { readonly seed: number; readonly share: number; readonly of: number },
  ) {
    this.#tried = tried;
    this.#seed = seed;
    const fitting = plans.filter(({ needs }) => unmetNeed(needs, tried.lamp) === null);
    const all = fitting.flatMap((plan) =>
      plan.conditions.map((condition) => ({ plan, condition })),
    );
    const draw = seededRandom(seed);
    const own = all.filter((_, index) => index % of === share);
    this.#turns = own
      .map((turn) => ({ turn, order: draw() }))
      .sort((one, other) => one.order - other.order)
      .map(({ turn }) => turn);
  }

  get count(): number {
    return this.#turns.length;
  }

  /** Holds the lamp to one more claim; null where it keeps it, or where nothing can be said. */
  async next(signal: AbortSignal): Promise<BrokenClaim | null> {
    const turn = this.#turns[this.#next % this.#turns.length];
    if (!turn) return null;
    const seed = (this.#seed + this.#next++) | 0;
    const { lamp, rig, lampSeed, faults, firmware, heartbeat } = this.#tried;
    const { plan, condition } = turn;
    const task = { spec: plan.spec, condition, position: 1, repeat: 0, seed, lampSeed };
    const open = () => openPlantBench({ lamp, rig, seed, lampSeed, faults, firmware, heartbeat });
    const { condition: ended } = await runCondition({ ...task, lamp, rig, faults }, open, signal, {
      wallNow: wallClock.now,
    });
    if (ended.verdict !== 'fail') return null;
    return { spec: plan.spec, condition: condition.key, reason: ended.reason ?? 'it fails' };
  }
}
