import type { Lamp } from '../../bench/lamp.ts';
import type { RawCapture } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import type { CaptureId } from '../../measure/observation.ts';
import type { Condition } from '../../plan/plan.ts';
import type { BenchAfter, ReadingBefore } from '../../record/rig-record.ts';
import type { ConditionRecord } from '../../record/run-record.ts';

/** Everything one condition needs, as plain data that can cross to a worker. */
export interface ConditionTask {
  readonly spec: string;
  readonly condition: Condition;
  /** Place in the run, counted from 1: the same condition has the same one in every run of the same specs. */
  readonly position: number;
  /** 0-based repeat of the condition. */
  readonly repeat: number;
  /** Which measurement of the condition it is, from the second on; absent of the first. */
  readonly measurement?: number;
  readonly lamp: Lamp;
  readonly rig: Rig;
  /** Seed of this condition alone, derived from the run's seed, the spec's id and the condition's key. */
  readonly seed: number;
  /** Seed of the lamp (component values): the run's own, so that one run tests one lamp. */
  readonly lampSeed: number;
  readonly faults: readonly { readonly fault: string; readonly size: number }[];
}

export interface ConditionResult {
  readonly condition: ConditionRecord;
  /** What was captured, by the ids in `condition.captures`. */
  readonly captures: ReadonlyMap<CaptureId, RawCapture>;
  /** Of a condition with everything recorded, pass by pass: what passed between firmware and lamp; null where it was too much. No part of the run. */
  readonly transcripts?: readonly (string | null)[];
}

/**
 * A place where conditions are executed one at a time: the rig (exactly one lane), or the plant in a worker (several).
 * What is asked of it meanwhile waits its turn.
 * The engine knows no more than this.
 */
export interface Lane {
  /** A condition can be had again for nothing, as on the plant: the lane goes on while its result is being stored. */
  readonly repeatable?: boolean;
  /** Conditions that may wait here beside the one being executed; none where this is absent. */
  readonly ahead?: number;
  execute(task: ConditionTask, signal: AbortSignal): Promise<ConditionResult>;
  /**
   * Checks the bench once all conditions have ended, before the safe state; null where nobody asks for it. `readBefore`: what it read before
   * the first one. Never rejects: an instrument that fails in it makes the checks `failed`.
   */
  checkAfter?(
    readBefore: readonly ReadingBefore[],
    signal: AbortSignal,
  ): Promise<BenchAfter | null>;
  /** Why nothing more can be run here, once that is so: the run ends. Absent where it never is. */
  lost?(): string | null;
  /** Command the safe state and say whether it was confirmed. Called at every ending, also after failures. */
  safe(): Promise<{ readonly confirmed: boolean; readonly detail: string }>;
  close(): Promise<void>;
}
