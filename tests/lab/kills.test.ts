import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { afterEach, beforeAll, expect, it } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { readRun } from '../../harness/archive/read-run.ts';
import { readRecordFile } from '../../harness/archive/record-file.ts';
import { conditionId } from '../../harness/record/ids.ts';
import { partsOfRun } from '../../harness/record/parts-of-run.ts';
import { buildProgram, evenfall, type Running } from '../cli/program.ts';
import { dimmingSpec, findingsText, runsIn } from '../cli/small-specs.ts';
import { sampleSeed, whole } from '../sampled.ts';
import { kill, LabDesk } from './lab-desk.ts';
import { hasPostgres, TestPostgres } from './postgres.ts';

beforeAll(buildProgram);

/** All: five rigs, forty shards, a hundred kills. */
const size = whole
  ? { rigs: 5, claims: 40, conditions: 25, kills: 100, patience: 1_800_000 }
  : { rigs: 2, claims: 4, conditions: 12, kills: 4, patience: 100_000 };

const names = Array.from({ length: size.rigs }, (_, k) => `rig-${k + 1}`);
const levels = Array.from({ length: size.conditions }, (_, k) => `${10 + 3 * k} %`);
const library = Object.fromEntries(
  Array.from({ length: size.claims }, (_, k) => [
    `specs/claim-${k}.spec.yaml`,
    dimmingSpec(`claim-${k}`, levels, '', '1 s'),
  ]),
);

let clear = async (): Promise<void> => {};
afterEach(() => clear());

/** The same each time for one seed. */
function randomFrom(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 1_664_525 + 1_013_904_223) % 2 ** 32;
    return state / 2 ** 32;
  };
}

it.skipIf(!hasPostgres())(
  'judges every condition once and loses no capture, whoever is killed',
  async () => {
    const server = await TestPostgres.start();
    const lab = new LabDesk(library, { database: server.url, silence: '5 s' });
    clear = async () => {
      await lab.clear();
      await server.stop();
    };
    await lab.serve();
    const rigs = new Map<string, { token: string; running: Running }>();
    for (const name of names) {
      const token = await lab.token(name, '--rig');
      rigs.set(name, { token, running: lab.rig(name, token) });
      await rigs.get(name)?.running.until((stdout) => stdout.includes('Serving as rig'));
    }
    const dora = await lab.token('dora', '--role', 'submit');
    const asked = ['submit', 'specs', '--simulated', '--shards', `${size.claims}`, '--wait'];
    const submitted = lab.start([...asked, '--quiet'], dora);
    await submitted.until((stdout) => stdout.startsWith('Submission '));

    let isOver = false;
    void submitted.ended.then(() => {
      isOver = true;
    });
    const random = randomFrom(sampleSeed);
    const killed: string[] = [];
    while (killed.length < size.kills && !isOver) {
      await wait(300 + 2500 * random());
      const victims = ['service', 'database', ...names];
      const victim = victims[Math.floor(random() * victims.length)] ?? 'service';
      killed.push(victim);
      if (victim === 'service') {
        await lab.killService();
        await lab.serve();
      } else if (victim === 'database') {
        await server.kill();
        await server.run();
      } else {
        const rig = rigs.get(victim);
        await kill(rig?.running ?? null);
        const { token = '' } = rig ?? {};
        rigs.set(victim, { token, running: lab.rig(victim, token) });
      }
    }
    const ended = await Promise.race([submitted.ended, wait(size.patience)]);
    if (!ended) throw new Error(`no end after ${killed.join(', ')}:\n${lab.printed}`);
    const { exitCode, stdout, stderr } = ended;
    expect(exitCode, `${stdout}${stderr} after ${killed.join(', ')}`).toBe(0);
    expect(killed.length, 'it was over too early').toBeGreaterThan(1);

    const folders = runsIn(lab.cwd);
    expect(folders).toHaveLength(1);
    const [merged = ''] = folders;
    expect(await checkSeal(merged)).toMatchObject({ state: 'sealed', problems: [] });
    const record = await readRecordFile(merged);
    const ids = record.specs.flatMap(({ spec, conditions }) =>
      conditions.map((condition) => conditionId(spec, condition)),
    );
    expect(ids).toHaveLength(size.claims * size.conditions);
    expect(new Set(ids).size).toBe(ids.length);
    const measured = partsOfRun(record).flatMap(({ specs }) =>
      specs.flatMap(({ spec, conditions }) => conditions.map((one) => conditionId(spec, one))),
    );
    expect([...measured].sort()).toEqual([...ids].sort());

    await evenfall(['run', 'specs', '--out', 'single', '--rig', 'simulated.rig.yaml'], {
      cwd: lab.cwd,
    });
    const [single = ''] = runsIn(lab.cwd, 'single');
    const expected = (await readRun(join(single))).record;
    expect(findingsText(record)).toBe(findingsText(expected));
  },
  whole ? 3_600_000 : 300_000,
);
