import { dirname, resolve } from 'node:path';
import { type OpenRig, openRig, type RigToOpen } from '../../../drivers/open-rig.ts';
import { sleep } from '../../../drivers/real-clock.ts';
import { BenchError } from '../../bench/errors.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { Identity } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Plan } from '../../plan/plan.ts';
import { Complaint, type ComplaintKind } from '../complaint.ts';
import { unprovableClaims } from '../inputs/unprovable-claims.ts';
import { RigLane } from '../lanes/rig-lane.ts';
import { identifyLinks } from './identify-links.ts';
import { rigAsOpened } from './rig-as-opened.ts';
import { type LockHolder, RigLock } from './rig-lock.ts';
import { makeBenchSafe } from './rig-safe.ts';
import { RigWatchdog } from './rig-watchdog.ts';

export interface RigFiles {
  readonly lamp: Lamp;
  readonly lampFile: { readonly file: string };
  readonly rig: Rig;
  readonly rigFile: { readonly file: string };
}

/** What happens on the way to a rig that is ready; a command puts it into words. */
export type RigNews =
  | { readonly news: 'cautions' }
  | { readonly news: 'lock taken over'; readonly rig: string; readonly left: LockHolder }
  | { readonly news: 'not provable'; readonly spec: string; readonly why: string }
  | { readonly news: 'warm-up'; readonly seconds: number };

/** Where a rig is used from, and who is told meanwhile. */
export interface RigUse {
  /** Folder that the files' names are relative to. */
  readonly cwd: string;
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly interrupted: AbortSignal;
  tell(news: RigNews): void;
}

/** A rig that is ours: locked, watched over, its instruments open and known. */
export interface RigInUse {
  readonly to: RigToOpen;
  readonly bench: OpenRig;
  /** The rig is as safe as it gets, and closed: the watchdog goes, and the lock with it. */
  leave(): Promise<void>;
}

/** What the engine needs of a rig, and the record of the instruments. */
export interface RigRun {
  readonly lane: RigLane;
  readonly identities: ReadonlyMap<string, Identity>;
  readonly notes: Readonly<Record<string, string | number>>;
  /** Claims that these instruments cannot prove, by spec id, with what would be enough. */
  readonly unprovable: ReadonlyMap<string, string>;
  leave(): Promise<void>;
}

/** Cautions, lock, watchdog, instruments, what they can prove, warm-up: everything before the first condition on a rig. */
export async function startRigRun(
  files: RigFiles & { readonly plans: readonly Plan[] },
  { flashingOk }: { readonly flashingOk: boolean },
  use: RigUse,
): Promise<RigRun> {
  refuseFlashing(files.plans, flashingOk);
  use.tell({ news: 'cautions' });
  const { to, bench, leave } = await takeRig(files, use);
  const { notes } = bench;
  let identities = bench.identities;
  const known = { ...files, rig: rigAsOpened(files.rig, bench) };
  const unprovable = unprovableClaims(known, new Date().toISOString().slice(0, 10));
  for (const [spec, why] of unprovable) use.tell({ news: 'not provable', spec, why });
  try {
    await warmUp(files.rig, use);
    const links = await identifyLinks(bench, files, use.interrupted);
    identities = new Map([...identities, ...links]);
  } catch (error) {
    await makeBenchSafe(bench, to);
    await bench.close();
    await leave();
    throw error instanceof BenchError ? unreachable(error) : error;
  }
  return { lane: new RigLane(to, bench, identities), identities, notes, unprovable, leave };
}

/** Locks a rig, sets the watchdog to it and opens it. Throws a Complaint `locked`, `unreachable`, or `bad-file` where a setting is wrong. */
export async function takeRig(files: RigFiles, use: RigUse): Promise<RigInUse> {
  const { rig, lamp } = files;
  const rigFile = resolve(use.cwd, files.rigFile.file);
  const lampFile = resolve(use.cwd, files.lampFile.file);
  const to: RigToOpen = { rig, lamp, folder: dirname(rigFile) };
  const lock = await RigLock.acquire(rig.rig, use.env, (left) =>
    use.tell({ news: 'lock taken over', rig: rig.rig, left }),
  );
  let watchdog: RigWatchdog | null = null;
  const leave = async (): Promise<void> => {
    await watchdog?.dismiss();
    await lock.release();
  };
  try {
    watchdog = await RigWatchdog.start(rigFile, lampFile, lock.file);
    await lock.guardedBy(watchdog.pid);
    const bench = await openRig({ ...to, signal: use.interrupted });
    return { to, bench, leave };
  } catch (error) {
    await leave();
    throw error instanceof BenchError ? unreachable(error) : error;
  }
}

/** A bench error before anything ran, as the user has to be told it. */
export function unreachable(error: BenchError): Complaint {
  return new Complaint(complaintKind(error), error.message, { cause: error });
}

function complaintKind({ kind }: BenchError): ComplaintKind {
  // Nothing but a signal cancels before the first condition.
  if (kind === 'cancelled') return 'interrupted';
  return kind === 'unsupported' ? 'bad-file' : 'unreachable';
}

function refuseFlashing(plans: readonly Plan[], flashingOk: boolean): void {
  const flashing = plans.filter(({ tags }) => tags.includes('flashing')).map(({ spec }) => spec);
  if (flashing.length === 0 || flashingOk) return;
  throw new Complaint(
    'usage',
    `${flashing.join(', ')}: light that flashes at 3 Hz to 70 Hz can provoke seizures. Read the cautions in README.md, warn everyone in the room or close the box, and pass --flashing-ok; or choose other specs`,
  );
}

async function warmUp({ warmUp: seconds }: Rig, use: RigUse): Promise<void> {
  if (seconds <= 0) return;
  use.tell({ news: 'warm-up', seconds });
  await sleep(seconds, use.interrupted);
}
