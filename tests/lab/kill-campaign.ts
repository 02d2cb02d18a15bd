import { setTimeout as wait } from 'node:timers/promises';
import { expect } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { readRecordFile } from '../../harness/archive/record-file.ts';
import { conditionId } from '../../harness/record/ids.ts';
import { partsOfRun } from '../../harness/record/parts-of-run.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import type { Running } from '../cli/program.ts';
import { dimmingSpec, runsIn } from '../cli/small-specs.ts';
import { sampleSeed } from '../sampled.ts';
import { kill, type LabDesk } from './lab-desk.ts';
import type { TestPostgres } from './postgres.ts';

export interface CampaignSize {
  readonly claims: number;
  readonly conditions: number;
  readonly kills: number;
  /** Wall-clock time after the last kill, ms. */
  readonly patience: number;
}

/** So many claims of so many conditions; a shard each. */
export function libraryOf({ claims, conditions }: CampaignSize, hold: string) {
  const levels = Array.from({ length: conditions }, (_, k) => `${10 + 3 * k} %`);
  const files = Array.from({ length: claims }, (_, k) => [
    `specs/claim-${k}.spec.yaml`,
    dimmingSpec(`claim-${k}`, levels, '', hold),
  ]);
  return Object.fromEntries(files) as Record<string, string>;
}

export interface CampaignRig {
  readonly name: string;
  /** A rig file; the simulated one where nothing is said. */
  readonly file?: string;
  /** Right after it was killed: rejects where it was left in a state that is not safe. */
  readonly afterKill?: () => Promise<void>;
}

interface Desk {
  readonly lab: LabDesk;
  readonly server: TestPostgres;
  readonly rigs: readonly CampaignRig[];
  /** Of `evenfall submit`. */
  readonly asked: readonly string[];
}

/**
 * Kills service, database and rigs at random moments while a submission runs over them. What came of it is sealed, has every
 * condition once, and none was measured twice.
 */
export async function killCampaign(desk: Desk, size: CampaignSize): Promise<RunRecord> {
  const { lab, server, asked } = desk;
  await lab.serve();
  const rigs = await startRigs(desk);
  const dora = await lab.token('dora', '--role', 'submit');
  const submitted = lab.start(['submit', 'specs', ...asked, '--wait', '--quiet'], dora);
  await submitted.until((stdout) => stdout.startsWith('Submission '));

  let isOver = false;
  void submitted.ended.then(() => {
    isOver = true;
  });
  const random = randomFrom(sampleSeed);
  const killed: string[] = [];
  while (killed.length < size.kills && !isOver) {
    await wait(300 + 2500 * random());
    const victims = ['service', 'database', ...rigs.keys()];
    const victim = victims[Math.floor(random() * victims.length)] ?? 'service';
    killed.push(victim);
    if (victim === 'service') {
      await lab.killService();
      await lab.serve();
    } else if (victim === 'database') {
      await server.kill();
      await server.run();
    } else await rigs.get(victim)?.();
  }
  const ended = await Promise.race([submitted.ended, wait(size.patience)]);
  if (!ended) throw new Error(`no end after ${killed.join(', ')}:\n${lab.printed}`);
  const { exitCode, stdout, stderr } = ended;
  const told = `${stdout}${stderr} after ${killed.join(', ')}${exitCode === 0 ? '' : lab.printed}`;
  expect(exitCode, told).toBe(0);
  expect(killed.length, 'it was over too early').toBeGreaterThan(1);
  return wholeRecord(lab, size.claims * size.conditions);
}

/** What kills each of them, and starts it again. */
async function startRigs({ lab, rigs }: Desk): Promise<Map<string, () => Promise<void>>> {
  const kills = new Map<string, () => Promise<void>>();
  for (const { name, file, afterKill } of rigs) {
    const token = await lab.token(name, '--rig');
    const start = (): Running => lab.rig(name, token, file);
    let running = start();
    await running.until((stdout) => stdout.includes('Serving as rig'));
    kills.set(name, async () => {
      await kill(running);
      await afterKill?.();
      running = start();
    });
  }
  return kills;
}

/** The one run of the lab. */
async function wholeRecord({ cwd }: LabDesk, conditions: number): Promise<RunRecord> {
  const folders = runsIn(cwd);
  expect(folders).toHaveLength(1);
  const [merged = ''] = folders;
  expect(await checkSeal(merged)).toMatchObject({ state: 'sealed', problems: [] });
  const record = await readRecordFile(merged);
  const ids = record.specs.flatMap(({ spec, conditions }) =>
    conditions.map((condition) => conditionId(spec, condition)),
  );
  expect(ids).toHaveLength(conditions);
  expect(new Set(ids).size).toBe(ids.length);
  const measured = partsOfRun(record).flatMap(({ specs }) =>
    specs.flatMap(({ spec, conditions }) => conditions.map((one) => conditionId(spec, one))),
  );
  expect([...measured].sort()).toEqual([...ids].sort());
  return record;
}

/** The same each time for one seed. */
function randomFrom(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 1_664_525 + 1_013_904_223) % 2 ** 32;
    return state / 2 ** 32;
  };
}
