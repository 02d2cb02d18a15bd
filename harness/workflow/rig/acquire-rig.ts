import { dirname, resolve } from 'node:path';
import { type OpenRig, openRig, type RigToOpen } from '../../../drivers/open-rig.ts';
import { BenchError } from '../../bench/errors.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { Complaint, type ComplaintKind } from '../complaint.ts';
import type { RigUse } from './rig-event.ts';
import { RigLock } from './rig-lock.ts';
import { RigWatchdog } from './rig-watchdog.ts';

export interface RigFiles {
  readonly lamp: Lamp;
  readonly lampFile: { readonly file: string };
  readonly rig: Rig;
  readonly rigFile: { readonly file: string };
}

/** A rig that is ours: locked, guarded by a watchdog, its instruments open and identified. */
export interface AcquiredRig {
  readonly to: RigToOpen;
  readonly bench: OpenRig;
  /** Call it when the rig is as safe as it gets, and closed: dismisses the watchdog and gives the lock up. */
  release(): Promise<void>;
}

/**
 * Locks a rig, starts its watchdog and opens its instruments. Throws a Complaint: `locked`, `unreachable`, `bad-file`
 * where a setting is wrong, or `interrupted`.
 */
export async function acquireRig(files: RigFiles, use: RigUse): Promise<AcquiredRig> {
  const { rig, lamp } = files;
  const to = { rig, lamp, folder: dirname(resolve(use.cwd, files.rigFile.file)) };
  const lock = await acquireRigLock(rig.rig, use);
  let watchdog: RigWatchdog | null = null;
  const release = async (): Promise<void> => {
    await watchdog?.dismiss();
    await lock.release();
  };
  try {
    watchdog = await RigWatchdog.start({
      rigFile: resolve(use.cwd, files.rigFile.file),
      lampFile: resolve(use.cwd, files.lampFile.file),
      lock: lock.file,
    });
    await lock.guardedBy(watchdog.pid);
    const bench = await openRig({ ...to, signal: use.signal });
    return { to, bench, release };
  } catch (error) {
    await release();
    throw error instanceof BenchError ? benchComplaint(error) : error;
  }
}

/** The lock alone, for work that does not run specs. */
export function acquireRigLock(
  rig: string,
  { locks, onRigEvent }: Pick<RigUse, 'locks' | 'onRigEvent'>,
): Promise<RigLock> {
  return RigLock.acquire(rig, locks, (from) => onRigEvent({ event: 'lock-taken-over', rig, from }));
}

/** A bench error outside a condition, as a Complaint. */
export function benchComplaint(error: BenchError): Complaint {
  return new Complaint(complaintKind(error), error.message, { cause: error });
}

function complaintKind({ kind }: BenchError): ComplaintKind {
  // Outside a condition only a signal cancels.
  if (kind === 'cancelled') return 'interrupted';
  return kind === 'unsupported' ? 'bad-file' : 'unreachable';
}
