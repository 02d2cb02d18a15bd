import type { SafeOutcome } from '../../run/condition/make-safe.ts';
import type { BenchWait } from '../lanes/wait-for-bench.ts';
import type { BenchCheck } from './bench-checks.ts';
import type { CheckedAfter } from './check-after.ts';
import type { LockHolder } from './lock-file.ts';

/** What happens to a rig besides the run itself; whoever uses the rig puts it into words. */
export type RigEvent =
  /** The rig is about to be switched on. */
  | { readonly event: 'powering-on'; readonly chamber: boolean }
  /** The lock of a process that has died was taken over. */
  | { readonly event: 'lock-taken-over'; readonly rig: string; readonly from: LockHolder }
  | { readonly event: 'not-provable'; readonly spec: string; readonly why: string }
  /** A program is at the lamp, and has been. */
  | { readonly event: 'preparing'; readonly step: string }
  | { readonly event: 'prepared'; readonly step: string; readonly text: string }
  | { readonly event: 'warming-up'; readonly seconds: number }
  /** Something was looked at before the first claim. */
  | ({ readonly event: 'checked-before' } & BenchCheck)
  /** The bench is looked at again after the last claim, and the light is about to come on for it. */
  | { readonly event: 'checking-after' }
  | ({ readonly event: 'checked-after' } & CheckedAfter)
  /** An instrument has gone, and is waited for; or all are back. */
  | ({ readonly event: 'bench-wait' } & BenchWait)
  /** What is stored here has not come to the lab yet. */
  | { readonly event: 'not-sent'; readonly why: string }
  | ({ readonly event: 'made-safe' } & SafeOutcome);

/** Where a rig is used from, and who hears of it. */
export interface RigUse {
  /** Folder that the names of files are relative to. */
  readonly cwd: string;
  /** Folder of the rig locks. */
  readonly locks: string;
  readonly signal: AbortSignal;
  onRigEvent(event: RigEvent): void;
}
