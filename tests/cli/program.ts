import { type ChildProcessWithoutNullStreams, execFileSync, spawn } from 'node:child_process';
import { existsSync, renameSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { afterAll } from 'vitest';

const root = resolve(import.meta.dirname, '../..');

/** Of all files of a run of the tests, where `tests/set-up.ts` gives it a place and clears it away. */
const shared = process.env['EVENFALL_TEST_PROGRAM'];
const own = join(root, `node_modules/.cache/evenfall-program-${process.pid}`);

/** The program as `npm run build` makes it, in a place of its own: users run the bundle, not the sources. */
const folder = shared ?? own;

/** To be called in `beforeAll`. The first file that needs the program builds it for the others; two at once both do, and one is kept. */
export function buildProgram(): void {
  if (existsSync(folder)) return;
  const build = ['--import', 'tsx', 'build/build.ts', '--out', own];
  execFileSync(process.execPath, build, { cwd: root, stdio: 'pipe' });
  if (!existsSync(folder)) renameOnce(own, folder);
}

/** A whole folder appears at once; the one that another file has put there meanwhile stays. */
function renameOnce(from: string, to: string): void {
  try {
    renameSync(from, to);
  } catch (error) {
    if (!existsSync(to)) throw error;
  }
}

afterAll(() => rmSync(own, { recursive: true, force: true }));

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
