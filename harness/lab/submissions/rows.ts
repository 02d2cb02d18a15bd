import type { Ending } from '../../verdict/verdict.ts';
import type { Row } from '../database/database.ts';
import type { SubmissionRequest } from '../protocol.ts';

type SubmissionStage = 'queued' | 'running' | 'merging' | 'ended' | 'failed' | 'cancelled';
type ShardStage = 'queued' | 'running' | 'ended' | 'failed';

/** Row of a submission. */
export interface SubmissionRow extends Row {
  readonly id: string;
  readonly at: Date;
  readonly by: string;
  readonly state: SubmissionStage;
  readonly why: string | null;
  readonly request: SubmissionRequest;
  readonly whole: readonly { readonly spec: string; readonly digest: string }[];
  readonly lamp: string;
  readonly build: string;
  readonly tags: readonly string[];
  readonly simulated: boolean;
  readonly verdict: Ending | null;
  readonly run: string | null;
  /** Name of the run's folder in the archive. */
  readonly folder: string | null;
}

/** Row of a shard. */
export interface ShardRow extends Row {
  readonly submission: string;
  readonly number: number;
  readonly queue: string;
  readonly job: string;
  readonly claims: readonly string[];
  readonly planned: number;
  readonly rig_time: number;
  readonly state: ShardStage;
  readonly lease: string | null;
  readonly rig: string | null;
  readonly attempts: number;
  readonly condition: string | null;
  readonly why: string | null;
  readonly run: string | null;
  readonly files: readonly { readonly file: string; readonly digest: string }[] | null;
}
