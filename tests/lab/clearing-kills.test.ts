import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createInterface, type Interface } from 'node:readline';
import { setTimeout as wait } from 'node:timers/promises';
import { afterEach, describe, expect, it } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { colourSpec, desk, dimmingSpec } from '../cli/small-specs.ts';
import { sampleSeed, whole } from '../sampled.ts';
import { digestsIn } from './later.ts';
import { hasPostgres, TestPostgres } from './postgres.ts';
import { endOf, rigHere, submitHere } from './rig-here.ts';

const kills = whole ? 40 : 2;
const program = resolve(import.meta.dirname, 'serve-lab.ts');

/** A service that is killed, and started again two days later. */
class Service {
  readonly folder = mkdtempSync(join(tmpdir(), 'evenfall-kills-'));
  readonly #database: readonly string[];
  #child: ChildProcessWithoutNullStreams | null = null;
  #lines: AsyncIterator<string> | null = null;
  #reader: Interface | null = null;
  #errors = '';
  url = '';

  constructor(database: readonly string[]) {
    this.#database = database;
  }

  async start(days: number): Promise<void> {
    const port = this.url === '' ? '0' : new URL(this.url).port;
    const args = ['--import', 'tsx', program, this.folder, port, `${days}`, ...this.#database];
    this.#child = spawn(process.execPath, args, { stdio: 'pipe' });
    this.#child.stderr.on('data', (text) => {
      this.#errors += text;
    });
    this.#reader = createInterface(this.#child.stdout);
    this.#lines = this.#reader[Symbol.asyncIterator]();
    this.url = ((await this.#line()) as { url: string }).url;
  }

  async ask(words: string): Promise<unknown> {
    this.tell(words);
    return this.#line();
  }

  tell(words: string): void {
    this.#child?.stdin.write(`${words}\n`);
  }

  async #line(): Promise<unknown> {
    const next = await this.#lines?.next();
    if (!next || next.done) throw new Error(`the service ended: ${this.#errors}`);
    return JSON.parse(next.value);
  }

  async kill(): Promise<void> {
    const child = this.#child;
    this.#child = null;
    if (!child) return;
    const gone = new Promise((done) => child.once('exit', done));
    child.kill('SIGKILL');
    await gone;
    this.#reader?.close();
  }
}

const open: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of open.splice(0).reverse()) await close();
});

/** The same each time for one seed. */
function randomFrom(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 1_664_525 + 1_013_904_223) % 2 ** 32;
    return state / 2 ** 32;
  };
}

/** What a clearing has to do while it is killed. */
function addOldFiles(folder: string, count: number): void {
  for (let k = 0; k < count; k++) {
    const digest = randomBytes(32).toString('hex');
    const at = join(folder, 'files', digest.slice(0, 2));
    mkdirSync(at, { recursive: true });
    writeFileSync(join(at, digest), 'old');
    utimesSync(join(at, digest), 1, 1);
  }
}

describe.each(['PostgreSQL', 'its own database'] as const)('with %s', (database) => {
  const skip = database === 'PostgreSQL' && !hasPostgres();
  it.skipIf(skip)(
    'no submission misses a file whenever a service is killed that clears, and all of it goes in the end',
    async () => {
      const server = database === 'PostgreSQL' ? await TestPostgres.start() : null;
      open.push(async () => server?.stop());
      const service = new Service(server ? [server.url] : []);
      open.push(async () => {
        await service.kill();
        rmSync(service.folder, { recursive: true, force: true });
      });
      await service.start(0);
      const tokenOf = async (words: string) =>
        ((await service.ask(`token ${words}`)) as { token: string }).token;
      const dora = await tokenOf('dora submit');
      const rigs = [
        rigHere(service.url, await tokenOf('left run')),
        rigHere(service.url, await tokenOf('right run')),
      ];
      for (const rig of rigs) open.push(rig.stop);
      await wait(3000);

      const cwd = desk({
        'specs/a.spec.yaml': dimmingSpec('long', ['50 %', '20 %', '10 %', '5 %'], '', '1 s'),
        'specs/b.spec.yaml': colourSpec,
      });
      let isOver = false;
      const ended: string[] = [];
      // One submission after another, with the same inputs, whatever becomes of the service.
      const submitting = (async () => {
        while (!isOver) {
          const id = await submitHere({ url: service.url, token: dora, cwd }, 2);
          expect(await endOf(service.url, dora, id)).toMatchObject({ state: 'ended', why: null });
          ended.push(id);
        }
      })();
      submitting.catch(() => {});
      const random = randomFrom(sampleSeed);
      for (let killed = 0; killed < kills; killed++) {
        addOldFiles(service.folder, 2000);
        service.tell('clear on');
        await Promise.race([wait(500 + 4000 * random()), submitting]);
        await service.kill();
        await service.start(2);
      }
      isOver = true;
      await submitting;
      expect(ended.length).toBeGreaterThan(0);
      await service.kill();
      for (const rig of rigs) await rig.stop();

      const archive = join(service.folder, 'reports');
      const runs = readdirSync(archive).filter((name) =>
        existsSync(join(archive, name, 'run.json')),
      );
      expect(runs).toHaveLength(ended.length);
      for (const run of runs)
        expect(await checkSeal(join(archive, run)), run).toMatchObject({
          state: 'sealed',
          problems: [],
        });
      await service.start(2);
      await service.ask('clear');
      // The inputs of what has ended lately: a lamp and two claims.
      expect(digestsIn(service.folder)).toHaveLength(3);
      await service.kill();
      await service.start(31);
      await service.ask('clear');
      expect(digestsIn(service.folder)).toEqual([]);
      for (const left of ['inputs', 'merging', 'files/leaving', 'files/partial'].map((name) =>
        join(service.folder, name),
      ))
        expect(existsSync(left) ? readdirSync(left) : [], left).toEqual([]);
    },
    whole ? 3_600_000 : 480_000,
  );
});
