import { readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { evenfall, Running } from '../cli/program.ts';
import { desk } from '../cli/small-specs.ts';

const simulated = readFileSync(
  resolve(import.meta.dirname, '../../specs/rigs/simulated.rig.yaml'),
  'utf8',
);

/** A lab as a team has it: a service, rigs and somebody who submits, each a process of its own. */
export class LabDesk {
  readonly cwd: string;
  readonly #database: Readonly<Record<string, string>>;
  readonly #silence: string;
  readonly #all = new Set<Running>();
  #service: Running | null = null;
  /** Kept when the service starts again. */
  #port = '0';
  #admin = '';

  /** `database`: URL of a PostgreSQL server; without it the lab has its own. */
  constructor(
    files: Readonly<Record<string, string>>,
    { database, silence = '5 s' }: { readonly database?: string; readonly silence?: string } = {},
  ) {
    this.cwd = desk(files);
    this.#database = database === undefined ? {} : { EVENFALL_LAB_DATABASE: database };
    this.#silence = silence;
    writeFileSync(join(this.cwd, 'simulated.rig.yaml'), simulated);
  }

  async serve(): Promise<void> {
    const args = ['lab', 'serve', '--port', this.#port, '--silence', this.#silence];
    const service = this.#run([...args, '--attempts', '50'], this.#database);
    let printed = '';
    await service.until((stdout) => {
      printed = stdout;
      return /^http:.*\n/.test(stdout);
    });
    const [origin = '', token] = printed.trim().split('\n');
    this.#port = new URL(origin).port;
    if (token) this.#admin = token;
    this.#service = service;
  }

  get url(): string {
    return `http://127.0.0.1:${this.#port}`;
  }

  get admin(): string {
    return this.#admin;
  }

  async token(name: string, ...options: readonly string[]): Promise<string> {
    const args = ['lab', 'token', 'add', name, ...options];
    const { exitCode, stdout, stderr } = await this.call(args, this.#admin);
    if (exitCode !== 0) throw new Error(stderr);
    return stdout.trim();
  }

  /** A rig that takes shards until it is killed. */
  rig(name: string, token: string, file = 'simulated.rig.yaml'): Running {
    // Emulated instruments all say the same of themselves: one folder of locks would know them as one.
    const own = ['--rig', file, '--folder', `rig-${name}`, '--locks', `locks-${name}`];
    return this.#run(['rig', 'serve', ...own, '--jobs', '1'], this.#asking(token));
  }

  call(args: readonly string[], token: string): ReturnType<typeof evenfall> {
    return evenfall(args, { cwd: this.cwd, env: this.#asking(token) });
  }

  /** A call that is not waited for. */
  start(args: readonly string[], token: string): Running {
    return this.#run(args, this.#asking(token));
  }

  async killService(): Promise<void> {
    await kill(this.#service);
    this.#service = null;
  }

  /** What all processes have printed, for messages. */
  get printed(): string {
    return [...this.#all].map(({ printed }) => printed).join('\n--\n');
  }

  /** Everything is killed. */
  async clear(): Promise<void> {
    for (const running of this.#all) await kill(running);
  }

  #asking(token: string): Readonly<Record<string, string>> {
    return { EVENFALL_LAB: this.url, EVENFALL_LAB_TOKEN: token };
  }

  #run(args: readonly string[], env: Readonly<Record<string, string>>): Running {
    const running = new Running(args, { cwd: this.cwd, env });
    this.#all.add(running);
    return running;
  }
}

/** As `kill -9` does. */
export async function kill(running: Running | null): Promise<void> {
  if (!running || running.child.exitCode !== null) return;
  running.child.kill('SIGKILL');
  await running.ended;
}
