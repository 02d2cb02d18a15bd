import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { planCaptures } from '../../plan/captures/plan-captures.ts';
import type { Condition, Plan } from '../../plan/plan.ts';
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

interface Turn {
  readonly plan: Plan;
  readonly condition: Condition;
}

/** A second of lamp time costs as much as so many samples, about (measured on two cores). */
const samplesASecond = 200_000;

/** One condition of every claim, the cheapest first, then another one of each: what only one claim sees is met soon. */
function inTurns(plans: readonly Plan[], { lamp, rig }: TriedLamp): readonly Turn[] {
  const costOf = (condition: Condition): number => {
    const { schedule, passes, captures } = planCaptures(condition, { lamp, rig });
    const samples = captures.reduce(
      (sum, own) =>
        sum + (own.kind === 'waveform' ? own.rate * (own.window.to - own.window.from) : 0),
      0,
    );
    return schedule.duration * passes.length + samples / samplesASecond;
  };
  const all = plans.flatMap((plan) =>
    plan.conditions
      .map((condition) => ({ turn: { plan, condition }, cost: costOf(condition) }))
      .sort((one, other) => one.cost - other.cost)
      .map((own, round) => ({ ...own, round })),
  );
  return all
    .sort((one, other) => one.round - other.round || one.cost - other.cost)
    .map(({ turn }) => turn);
}

/** The claims that the lamp can have, a condition at a time, each once and then again with other noise. */
export class ClaimTurns {
  readonly #tried: TriedLamp;
  readonly #turns: readonly Turn[];
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
    this.#turns = inTurns(fitting, tried).filter((_, index) => index % of === share);
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
