import { dirname, resolve } from 'node:path';
import { type OpenRig, openRig, type RigToOpen } from '../../../drivers/open-rig.ts';
import { placeOfIdentity, placesOf } from '../../../drivers/places.ts';
import { BenchError } from '../../bench/errors.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { Complaint, type ComplaintKind } from '../complaint.ts';
import type { LockHolder } from './lock-file.ts';
import type { RigUse } from './rig-event.ts';
import { RigGuard } from './rig-guard.ts';
import { lockHolders, RigLock } from './rig-lock.ts';
import { RigWatchdogs } from './rig-watchdog.ts';
import { hearStrayErrors } from './stray-errors.ts';
import { removeTakenNote } from './taken-note.ts';

export interface RigFiles {
  readonly lamp: Lamp;
  readonly lampFile: { readonly file: string };
  readonly rig: Rig;
  readonly rigFile: { readonly file: string };
}

/** A rig that is ours: locked, guarded by watchdogs, its instruments open and identified. */
export interface AcquiredRig {
  readonly to: RigToOpen;
  readonly bench: OpenRig;
  /** Tells when it is ours no more. */
  readonly guard: RigGuard;
  /** Call it when the rig is as safe as it gets, and closed: dismisses the watchdogs and gives the locks up. */
  release(): Promise<void>;
}

/**
 * Locks a rig and its instruments, starts its watchdogs and opens the instruments. Throws a Complaint: `locked`,
 * `unreachable`, `cannot-create` where no lock can be kept, `bad-file` where a setting is wrong, or `interrupted`.
 */
export async function acquireRig(files: RigFiles, use: RigUse): Promise<AcquiredRig> {
  const { rig, lamp } = files;
  const folder = dirname(resolve(use.cwd, files.rigFile.file));
  const lock = await acquireRigLock(files, use);
  const held = new HeldRig(lock);
  try {
    const guard = await held.guarded(files, use);
    const to = { rig, lamp, folder, mustHold: (name: string) => guard.mustHold(name) };
    const bench = await openRig({ ...to, signal: use.signal });
    await held.knows(bench);
    return { to, bench, guard, release: () => held.release() };
  } catch (error) {
    await held.release();
    throw error instanceof BenchError ? benchComplaint(error) : error;
  }
}

/** What has to be given up again, in the reverse order. */
class HeldRig {
  readonly #lock: RigLock;
  #guard: RigGuard | null = null;
  #watchdogs: RigWatchdogs | null = null;
  #deaf = (): void => {};

  constructor(lock: RigLock) {
    this.#lock = lock;
  }

  async guarded({ rigFile, lampFile }: RigFiles, { cwd }: RigUse): Promise<RigGuard> {
    const lock = this.#lock;
    const guard = await RigGuard.start(lock);
    this.#guard = guard;
    this.#deaf = hearStrayErrors((why) => guard.lose(why));
    const watchdogs = await RigWatchdogs.start({
      rigFile: resolve(cwd, rigFile.file),
      lampFile: resolve(cwd, lampFile.file),
      lock: lock.file,
      token: lock.holder.token ?? '',
    });
    this.#watchdogs = watchdogs;
    const [first = 0, second] = watchdogs.pids;
    await lock.guardedBy(first, second);
    watchdogs.watch((pid) =>
      guard.lose(
        `a watchdog of the rig (process ${pid}) has died; nothing stays switched on without it. Resume the run`,
      ),
    );
    return guard;
  }

  /** Now that they have said who they are, they are locked by that too. Closes the bench where somebody else has one. */
  async knows(bench: OpenRig): Promise<void> {
    const identities = [...bench.identities].map(([name, identity]) => {
      const place = placeOfIdentity(identity);
      return [name, place === null ? [] : [place]] as const;
    });
    try {
      await this.#lock.hold(new Map(identities));
    } catch (error) {
      await bench.close();
      throw error;
    }
  }

  async release(): Promise<void> {
    await this.#watchdogs?.dismiss();
    await this.#guard?.close();
    await removeTakenNote(this.#lock.folder, this.#lock.holder);
    await this.#lock.release();
    this.#deaf();
  }
}

/** Who uses a rig or one of its instruments now; each holder once. */
export function holdersOf(
  { rig, lamp, rigFile }: RigFiles,
  { cwd, locks }: Pick<RigUse, 'cwd' | 'locks'>,
): Promise<readonly LockHolder[]> {
  const folder = dirname(resolve(cwd, rigFile.file));
  return lockHolders(rig.rig, locks, placesOf(rig, { lamp, folder }));
}

/** The locks alone, for work that does not run specs. */
export function acquireRigLock(
  { rig, lamp, rigFile }: RigFiles,
  { cwd, locks, onRigEvent }: Pick<RigUse, 'cwd' | 'locks' | 'onRigEvent'>,
): Promise<RigLock> {
  const folder = dirname(resolve(cwd, rigFile.file));
  const takenOver = (from: LockHolder): void =>
    onRigEvent({ event: 'lock-taken-over', rig: rig.rig, from });
  return RigLock.acquire(rig.rig, locks, takenOver, placesOf(rig, { lamp, folder }));
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
