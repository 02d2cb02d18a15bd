import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { join } from 'node:path';

/** The program as `npm run build` makes it: users run the bundle, not the sources. `tests/set-up.ts` has built it. */
const folder = process.env['EVENFALL_PROGRAM'];
if (!folder) throw new Error('expected a run of vitest: tests/set-up.ts has not run');

export const mainFile = join(folder, 'main.js');

export interface Called {
  readonly cwd: string;
  readonly env?: Readonly<Record<string, string>>;
}

export interface Ended {
  readonly exitCode: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Of a Node past its end of life no test wants to hear, whatever the day is. */
const silent = { EVENFALL_OLD_NODE: '1' };

/** A call under way; nothing of the machine that runs the tests (CI, colours) reaches it. */
export class Running {
  readonly child: ChildProcessWithoutNullStreams;
  readonly ended: Promise<Ended>;
  #stdout = '';
  #stderr = '';
  readonly #waiting = new Set<() => void>();

  constructor(args: readonly string[], { cwd, env = {} }: Called) {
    const { PATH = '', HOME = '' } = process.env;
    this.child = spawn(process.execPath, [mainFile, ...args], {
      cwd,
      env: { PATH, HOME, ...silent, ...env },
    });
    this.child.stdout.on('data', (piece) => this.#take(() => (this.#stdout += piece)));
    this.child.stderr.on('data', (piece) => this.#take(() => (this.#stderr += piece)));
    this.ended = new Promise((done) =>
      this.child.on('close', (exitCode) => {
        done({ exitCode, stdout: this.#stdout, stderr: this.#stderr });
        this.#take(() => {});
      }),
    );
  }

  get stderr(): string {
    return this.#stderr;
  }

  /** All that it has printed so far. */
  get printed(): string {
    return `${this.#stdout}${this.#stderr}`;
  }

  /** Resolves when `enough` holds for what was printed; rejects when the program ends before. */
  async until(enough: (stdout: string, stderr: string) => boolean): Promise<void> {
    while (!enough(this.#stdout, this.#stderr)) {
      if (this.child.exitCode !== null || this.child.signalCode !== null) {
        throw new Error(`it ended too early: ${this.#stdout}\n${this.#stderr}`);
      }
      await new Promise<void>((done) => this.#waiting.add(done));
    }
  }

  #take(keep: () => void): void {
    keep();
    for (const done of this.#waiting) done();
    this.#waiting.clear();
  }
}

export function evenfall(args: readonly string[], called: Called): Promise<Ended> {
  return new Running(args, called).ended;
}
