import { dirname, resolve } from 'node:path';
import { type OpenRig, openRig, type RigToOpen } from '../../drivers/open-rig.ts';
import { sleep } from '../../drivers/real-clock.ts';
import { BenchError } from '../bench/errors.ts';
import type { Lamp } from '../bench/lamp.ts';
import type { Identity } from '../bench/ports.ts';
import type { Rig } from '../bench/rig.ts';
import type { Plan } from '../plan/plan.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import { identifyLinks } from './identify-links.ts';
import { interruptionCode } from './interruption.ts';
import type { Io } from './io.ts';
import { rigAsOpened } from './rig-as-opened.ts';
import { RigLane } from './rig-lane.ts';
import { RigLock } from './rig-lock.ts';
import { makeBenchSafe } from './rig-safe.ts';
import { RigWatchdog } from './rig-watchdog.ts';
import { unprovableClaims } from './unprovable-claims.ts';

export interface RigFiles {
  readonly lamp: Lamp;
  readonly lampFile: { readonly file: string };
  readonly rig: Rig;
  readonly rigFile: { readonly file: string };
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
  io: Io,
): Promise<RigRun> {
  refuseFlashing(files.plans, flashingOk);
  io.stderr(cautions);
  const { to, bench, leave } = await takeRig(files, io);
  const { notes } = bench;
  let identities = bench.identities;
  const known = { ...files, rig: rigAsOpened(files.rig, bench) };
  const unprovable = unprovableClaims(known, new Date().toISOString().slice(0, 10));
  for (const [spec, why] of unprovable) io.stderr(`not run: ${spec}: ${why}\n`);
  try {
    await warmUp(files.rig, io);
    identities = new Map([...identities, ...(await identifyLinks(bench, files, io.interrupted))]);
  } catch (error) {
    await makeBenchSafe(bench, to);
    await bench.close();
    await leave();
    throw error instanceof BenchError ? unreachable(error, io) : error;
  }
  return { lane: new RigLane(to, bench, identities), identities, notes, unprovable, leave };
}

/** Locks a rig, sets the watchdog to it and opens it. Throws Complaints: 75 locked, 69 out of reach, 65 wrong settings. */
export async function takeRig(files: RigFiles, io: Io): Promise<RigInUse> {
  const { rig, lamp } = files;
  const rigFile = resolve(io.cwd, files.rigFile.file);
  const lampFile = resolve(io.cwd, files.lampFile.file);
  const to: RigToOpen = { rig, lamp, folder: dirname(rigFile) };
  const lock = await RigLock.acquire(rig.rig, io);
  let watchdog: RigWatchdog | null = null;
  const leave = async (): Promise<void> => {
    await watchdog?.dismiss();
    await lock.release();
  };
  try {
    watchdog = await RigWatchdog.start(rigFile, lampFile, lock.file);
    await lock.guardedBy(watchdog.pid);
    const bench = await openRig({ ...to, signal: io.interrupted });
    return { to, bench, leave };
  } catch (error) {
    await leave();
    throw error instanceof BenchError ? unreachable(error, io) : error;
  }
}

/** A bench error before anything ran, as the user has to be told it. */
export function unreachable(error: BenchError, io: Io): Complaint {
  const code = codeOf(error, io);
  return new Complaint(code, error.message, { cause: error });
}

function codeOf({ kind }: BenchError, io: Io): number {
  // Nothing but a signal cancels before the first condition.
  if (kind === 'cancelled') return interruptionCode(io);
  return kind === 'unsupported' ? exitCodes.badFile : exitCodes.unreachable;
}

function refuseFlashing(plans: readonly Plan[], flashingOk: boolean): void {
  const flashing = plans.filter(({ tags }) => tags.includes('flashing')).map(({ spec }) => spec);
  if (flashing.length === 0 || flashingOk) return;
  throw new Complaint(
    exitCodes.usage,
    `${flashing.join(', ')}: light that flashes at 3 Hz to 70 Hz can provoke seizures. Read the cautions in README.md, warn everyone in the room or close the box, and pass --flashing-ok; or choose other specs`,
  );
}

const cautions = `Before the rig is switched on:
  - Flashing light at 3 Hz to 70 Hz can provoke seizures; warn everyone in the room, or close the box.
  - Do not look into a bare LED array; blue light harms the eye most (IEC 62471).
  - Drivers may be at mains potential: treat everything as live unless it is proved to be SELV.
  - Lamps get hot. Local codes and licensed practice come first; see Safety in README.md.
`;

async function warmUp({ warmUp: seconds }: Rig, io: Io): Promise<void> {
  if (seconds <= 0) return;
  io.stderr(`Instruments warm up for ${Math.round(seconds)} s\n`);
  await sleep(seconds, io.interrupted);
}
