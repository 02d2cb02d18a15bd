import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Plan } from '../../plan/plan.ts';
import type { ConditionRecord, RunRecord } from '../../record/run-record.ts';
import type { Looks } from '../../verdict/looks.ts';
import type { RunListener } from './events.ts';
import type { Lane } from './lane.ts';

/** Everything that the engine needs to carry out a run. */
export interface RunSetup {
  readonly plans: readonly Plan[];
  readonly lamp: Lamp;
  readonly rig: Rig;
  readonly seed: number;
  readonly faults: readonly { readonly fault: string; readonly size: number }[];
  /** The lanes, one condition at a time each. The engine closes them. */
  readonly lanes: readonly Lane[];
  /** A record with everything known beforehand; the engine fills in what happened. */
  readonly draft: RunRecord;
  readonly listeners: readonly RunListener[];
  readonly signal: AbortSignal;
  /** Wall clock, handed in: `now` as ISO 8601 UTC, `seconds` monotonic. */
  readonly wall: { now(): string; seconds(): number };
  /** Conditions of an earlier run that need not be repeated, by `conditionId`. */
  readonly done?: ReadonlyMap<string, ConditionRecord>;
  /** Claims that this rig cannot prove, by spec id, with what would be enough: they are not powered for. */
  readonly unprovable?: ReadonlyMap<string, string>;
  /** Measure again what is inconclusive; absent where it is left at one measurement. */
  readonly looks?: Looks | null;
  /** Give up after so many bench errors. */
  readonly maxBenchErrors?: number;
  /** How often a condition is tried again after a bench error. */
  readonly retries?: number;
}

/** Why a run ended before all was done. */
export interface Stop {
  readonly ended: RunRecord['ended'];
  readonly reason: string;
}
