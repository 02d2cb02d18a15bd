import { dirname } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { RigToOpen } from '../../../drivers/open-rig.ts';
import { findDriver } from '../../../drivers/registry.ts';
import { isAlive, type LockHolder, readLock, removeAllLocks, sameHolder } from './lock-file.ts';
import { beatEvery, OwnPulse, pulseFile, removePulse, SeenPulse, stoppedAfter } from './pulse.ts';
import { makeRigSafe, readSafeNote, writeSafeNote } from './rig-safe.ts';
import { type WatchRole, watchWords } from './rig-watchdog.ts';
import { removeTakenNote, writeTakenNote } from './taken-note.ts';

/** A rig and which of its two watchdogs this process is. */
export interface Watch {
  readonly to: RigToOpen;
  /** Lock of the rig. */
  readonly lock: string;
  readonly token: string;
  readonly role: WatchRole;
}

/** The first watchdog has this long for it beside the time of the rig's safe state, s. */
const margin = 3;

/** The watchdog's side: stands guard until the run ends. Resolves with false where the safe state was needed and not confirmed. */
export async function standGuard(watch: Watch): Promise<boolean> {
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => {});
  // A driver of the user's own may throw where nobody listens: the guard stands all the same.
  for (const stray of ['uncaughtException', 'unhandledRejection'] as const)
    process.on(stray, () => {});
  const { to } = watch;
  // Loaded now: when the time comes there may be no disk, and there is no time.
  await Promise.allSettled(
    to.rig.instruments.map(({ name, driver }) => findDriver(name, driver, to.folder)),
  );
  const holder = await readLock(watch.lock);
  const own = new OwnPulse(pulseFile(watch.token, watch.role));
  const beating = setInterval(() => own.beat(), beatEvery);
  const run = new RunSeen();
  process.stdout.on('error', () => {});
  process.stdout.write(watchWords.ready);
  await run.until(() => run.watching || run.ended);
  const outcome = await guard(watch, run, holder);
  clearInterval(beating);
  if (holder) {
    await removeAllLocks(dirname(watch.lock), holder);
    await removeTakenNote(dirname(watch.lock), holder);
  }
  // Nobody else is left to do it; the first one may still be at it, and has them open.
  if (!run.dismissed && watch.role === 'second')
    for (const who of ['run', 'first', 'second']) removePulse(pulseFile(watch.token, who));
  return outcome;
}

/** True where nothing had to be done, or it was confirmed. */
async function guard(watch: Watch, run: RunSeen, holder: LockHolder | null): Promise<boolean> {
  if (!run.ended) {
    const why = await firstTrouble(watch, run);
    if (why !== null) {
      await tellRun(watch, holder, why);
      await takeOver(watch);
      // It may wake up, and end by itself.
      await run.until(() => run.ended);
    }
  }
  return run.dismissed || (await isOthers(watch, holder)) || takeOver(watch);
}

/** Looks after the run until it ends (null), or until a pulse stops: then why the rig has to be made safe without it. */
async function firstTrouble({ token, role }: Watch, run: RunSeen): Promise<string | null> {
  const others = role === 'first' ? 'second' : 'first';
  const pulse = new SeenPulse(pulseFile(token, 'run'));
  const peer = new SeenPulse(pulseFile(token, others));
  const stopped = `within ${stoppedAfter} s`;
  while (!run.ended) {
    if (pulse.age() > stoppedAfter)
      return `Evenfall gave no sign of life ${stopped} (stopped, swapped out or hung), and its watchdog switched the rig off; resume the run`;
    // Of one that was killed the run has heard, and ends.
    if (peer.age() > stoppedAfter)
      return `the ${others} watchdog of the rig gave no sign of life ${stopped}; nothing stays switched on without it. Resume the run`;
    await run.until(() => run.ended, beatEvery);
  }
  return null;
}

async function tellRun({ lock }: Watch, holder: LockHolder | null, why: string): Promise<void> {
  if (holder) await writeTakenNote(dirname(lock), holder, { why }).catch(() => {});
}

/** Makes the rig safe, after the first watchdog where that one is at it. */
async function takeOver(watch: Watch): Promise<boolean> {
  const { to, lock, token, role } = watch;
  if (role === 'second' && (await firstDidIt(watch))) return true;
  const outcome = await makeRigSafe(to);
  await writeSafeNote(lock, token, outcome);
  return outcome.confirmed;
}

/** Waits while the first watchdog lives and has not done it; whether it was confirmed then. */
async function firstDidIt({ to, lock, token }: Watch): Promise<boolean> {
  const began = Date.now();
  const pulse = new SeenPulse(pulseFile(token, 'first'));
  const patience = performance.now() + (2 * to.rig.safe.within + margin) * 1000;
  while (performance.now() < patience) {
    const note = await readSafeNote(lock);
    if (note?.token === token && Date.parse(note.at) >= began - 2 * stoppedAfter * 1000)
      return note.confirmed;
    if (!isAlive(pulse.process) || pulse.age() > 1) return false;
    await pause(beatEvery / 4);
  }
  return false;
}

/** Somebody else has the rig by now, and makes it safe himself. */
async function isOthers({ lock }: Watch, holder: LockHolder | null): Promise<boolean> {
  const found = await readLock(lock).catch(() => null);
  return found !== null && holder !== null && !sameHolder(found, holder);
}

/** The run at the other end of stdin. */
class RunSeen {
  #text = '';
  #ended = false;
  readonly #waiting = new Set<() => void>();

  constructor() {
    process.stdin.on('data', (bytes: Buffer) => {
      this.#text += bytes;
      this.#changed();
    });
    for (const event of ['end', 'close', 'error'] as const)
      process.stdin.on(event, () => {
        this.#ended = true;
        this.#changed();
      });
  }

  get watching(): boolean {
    return this.#text.includes(watchWords.watch);
  }

  get dismissed(): boolean {
    return this.#text.includes(watchWords.dismissed);
  }

  get ended(): boolean {
    return this.#ended;
  }

  /** Resolves when `enough` holds, or after so many ms. */
  async until(enough: () => boolean, most = Number.POSITIVE_INFINITY): Promise<void> {
    const end = performance.now() + most;
    while (!enough() && performance.now() < end) await this.#change(end - performance.now());
  }

  #change(most: number): Promise<void> {
    return new Promise((resolve) => {
      const done = (): void => {
        clearTimeout(timer);
        this.#waiting.delete(done);
        resolve();
      };
      // Only a timer keeps a process alive whose pipe has ended.
      const timer = setTimeout(done, Math.min(most, 60_000));
      this.#waiting.add(done);
    });
  }

  #changed(): void {
    for (const done of [...this.#waiting]) done();
  }
}
