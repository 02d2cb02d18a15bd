import type { InstrumentRecord } from '../../../record/run-record.ts';
import type { Ending } from '../../../verdict/verdict.ts';

/** All that the pages of a lab show, and what its server sends to those that are open. */
export interface LabState {
  /** Instant of the state, ISO 8601. */
  readonly at: string;
  /** Newest first, at most 50. */
  readonly submissions: readonly SubmissionState[];
  readonly rigs: readonly RigState[];
  readonly schedules: readonly ScheduleState[];
}

/** Claims that somebody wants proved for a lamp and a build. */
export interface SubmissionState {
  readonly id: string;
  /** ISO 8601 */
  readonly submittedAt: string;
  readonly by: string;
  readonly lamp: string;
  readonly build: string;
  readonly tags: readonly string[];
  readonly state: 'queued' | 'running' | 'merging' | 'ended' | 'failed' | 'cancelled';
  /** Why it failed or was cancelled. */
  readonly why: string | null;
  readonly shards: readonly ShardState[];
  readonly verdict: Ending | null;
  /** The merged run; its page is `/runs/` and this. */
  readonly run: string | null;
}

export interface ShardState {
  readonly number: number;
  readonly state: 'queued' | 'running' | 'ended' | 'failed';
  readonly rig: string | null;
  readonly attempts: number;
  /** Conditions that are measured, and all of the shard. */
  readonly done: number;
  readonly planned: number;
  /** Expected, s. */
  readonly rigTime: number;
}

export interface RigState {
  readonly name: string;
  readonly lamps: readonly string[];
  readonly simulated: boolean;
  readonly place: string;
  /** ISO 8601 */
  readonly lastSeen: string | null;
  readonly isHeard: boolean;
  readonly now: {
    readonly submission: string;
    readonly shard: number;
    readonly condition: string | null;
  } | null;
  readonly calibration: readonly {
    readonly instrument: string;
    /** Day on which it is due. */
    readonly due: string;
    readonly state: NonNullable<InstrumentRecord['calibration']>['state'];
  }[];
  /** Why it did not take what waits, newest first. */
  readonly declines: readonly string[];
}

export interface ScheduleState {
  readonly name: string;
  readonly cron: string;
  readonly zone: string;
  /** ISO 8601 */
  readonly next: string | null;
  readonly last: string | null;
  readonly by: string;
  /** Why it submitted nothing the last time; null where it did. */
  readonly why: string | null;
}
