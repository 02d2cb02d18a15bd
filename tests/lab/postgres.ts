import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { chmodSync, chownSync, existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import pg from 'pg';

interface Ids {
  readonly uid?: number;
  readonly gid?: number;
}

/** A PostgreSQL server of a test's own, in a throw-away folder; only this machine's user reaches it. */
export class TestPostgres {
  readonly url: string;
  readonly #folder: string;
  readonly #as: Ids;
  #server: ChildProcess | null = null;

  private constructor(folder: string, as: Ids) {
    this.#folder = folder;
    this.#as = as;
    this.url = `postgres://evenfall@localhost/postgres?host=${encodeURIComponent(folder)}`;
  }

  /** Makes and starts one. Needs Debian's package `postgresql`. */
  static async start(): Promise<TestPostgres> {
    const folder = mkdtempSync(join(tmpdir(), 'evenfall-postgres-'));
    // The server refuses to run as root.
    const as: Ids = process.getuid?.() === 0 ? idsOf('postgres') : {};
    chmodSync(folder, 0o700);
    if (as.uid !== undefined && as.gid !== undefined) chownSync(folder, as.uid, as.gid);
    const options = {
      ...as,
      cwd: folder,
      stdio: 'pipe' as const,
      env: { PATH: process.env['PATH'], LC_ALL: 'C' },
    };
    execFileSync(program('initdb'), ['-D', 'data', '-U', 'evenfall', '-A', 'trust', '-N'], options);
    const made = new TestPostgres(folder, as);
    await made.run();
    return made;
  }

  /** Starts it again, where it was killed. */
  async run(): Promise<void> {
    const settings = ['listen_addresses=', `unix_socket_directories=${this.#folder}`, 'fsync=off'];
    const options = settings.flatMap((setting) => ['-c', setting]);
    this.#server = spawn(program('postgres'), ['-D', 'data', ...options], {
      ...this.#as,
      ...{ cwd: this.#folder, stdio: 'ignore', env: { LC_ALL: 'C' } },
    });
    for (let tries = 0; ; tries++) {
      const client = new pg.Client({ connectionString: this.url });
      try {
        await client.connect();
        await client.query('select 1');
        await client.end();
        return;
      } catch (error) {
        await client.end().catch(() => {});
        if (tries > 100) throw error;
        await wait(100);
      }
    }
  }

  /** At once, with all connections. */
  async kill(): Promise<void> {
    const server = this.#server;
    this.#server = null;
    if (!server?.pid) return;
    const gone = new Promise((done) => server.once('exit', done));
    // Its helpers notice by themselves that it has gone.
    server.kill('SIGKILL');
    await gone;
    rmSync(join(this.#folder, 'data/postmaster.pid'), { force: true });
    await wait(300);
  }

  async stop(): Promise<void> {
    const server = this.#server;
    if (server) {
      const gone = new Promise((done) => server.once('exit', done));
      server.kill('SIGINT');
      await gone;
    }
    rmSync(this.#folder, { recursive: true, force: true });
  }
}

/** Where Debian puts what is not for everybody's path. */
const versions = '/usr/lib/postgresql';

export function hasPostgres(): boolean {
  return program('postgres') !== 'postgres';
}

function program(name: string): string {
  const found = existsSync(versions) ? readdirSync(versions).sort() : [];
  const path = found.map((version) => join(versions, version, 'bin', name)).findLast(existsSync);
  return path ?? name;
}

function idsOf(user: string): Ids {
  const id = (flag: string) => Number(execFileSync('id', [flag, user], { encoding: 'utf8' }));
  return { uid: id('-u'), gid: id('-g') };
}
