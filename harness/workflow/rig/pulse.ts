import {
  closeSync,
  existsSync,
  fstatSync,
  futimesSync,
  openSync,
  readSync,
  rmSync,
  writeSync,
} from 'node:fs';
import { tmpdir, uptime } from 'node:os';
import { join } from 'node:path';
import { Complaint } from '../complaint.ts';

/**
 * The pulse of a process: a file whose time it changes several times a second, for others on this computer to see that
 * it runs. A process that is stopped, swapped out or hung leaves it alone; one that was killed does, too.
 */

/** ms from beat to beat. */
export const beatEvery = 200;
/** Without a beat for so long, s, a process counts as stopped: many times what a busy machine leaves it waiting. */
export const stoppedAfter = 5;

/** Files in memory, where there are such: a busy disk must not look like a stopped process. */
const folder = existsSync('/dev/shm') ? '/dev/shm' : tmpdir();

export function pulseFile(token: string, who: string): string {
  return join(folder, `evenfall-${token}-${who}.pulse`);
}

/** Makes the file. Throws a Complaint where it cannot. */
export function createPulse(file: string): void {
  try {
    const fd = openSync(file, 'w', 0o600);
    writeSync(fd, `${process.pid}\n`.padEnd(16));
    closeSync(fd);
  } catch (error) {
    throw new Complaint(
      'cannot-create',
      `${folder} takes no file (${(error as Error).message}), but the watchdogs of a rig look there for signs of life; free some space. Nothing was switched on`,
      { cause: error },
    );
  }
}

export function removePulse(file: string): void {
  rmSync(file, { force: true });
}

/** One's own pulse. */
export class OwnPulse {
  readonly #fd: number;

  constructor(file: string) {
    this.#fd = openSync(file, 'r+');
    writeSync(this.#fd, `${process.pid}\n`.padEnd(16), 0);
  }

  beat(): void {
    const now = Date.now() / 1000;
    futimesSync(this.#fd, now, now);
  }
}

/** Somebody else's pulse, as this process sees it. Seconds are those since boot: they go on while the computer sleeps. */
export class SeenPulse {
  readonly #fd: number;
  #last: number;
  #since = uptime();
  #looked = uptime();

  constructor(file: string) {
    this.#fd = openSync(file, 'r');
    this.#last = fstatSync(this.#fd).mtimeMs;
  }

  /** Whose it is. */
  get process(): number {
    const text = Buffer.alloc(16);
    readSync(this.#fd, text, 0, 16, 0);
    return Number.parseInt(text.toString(), 10);
  }

  /** Seconds without a beat. Who did not run itself for a while begins to count anew. */
  age(): number {
    const now = uptime();
    const beat = fstatSync(this.#fd).mtimeMs;
    if (beat !== this.#last || now - this.#looked > stoppedAfter / 2) {
      this.#last = beat;
      this.#since = now;
    }
    this.#looked = now;
    return now - this.#since;
  }
}
