import { driverSettings } from '../../drivers/registry.ts';
import { calibrationState } from '../bench/calibration-state.ts';
import { readRig } from '../bench/rig-file.ts';
import type { Database } from './database/database.ts';
import type { Lab } from './lab.ts';
import type { RigRow } from './rigs/rigs.ts';
import type { ShardRow, SubmissionRow } from './submissions/rows.ts';

/** Submissions that are shown, and reasons of a rig. */
const most = { submissions: 50, declines: 5 } as const;

/** A rig counts as heard for so long after it asked or said that it lives, s. */
export const heardFor = 15;

interface CountedShard extends ShardRow {
  readonly done: number | string;
}

/** What goes on in a lab, from one look at its tables: the newest submissions first, or one alone. */
export async function overviewOf(
  { database, schedules }: Pick<Lab, 'database' | 'schedules'>,
  only: string | null = null,
) {
  const submissions = await database.query<SubmissionRow>(
    'select * from lab.submission where $2::uuid is null or id = $2::uuid order by place desc limit $1',
    [most.submissions, only],
  );
  const ids = JSON.stringify(submissions.map(({ id }) => id));
  const shards = await database.query<CountedShard>(
    `select shard.*, (select count(*) from lab.condition
       where condition.submission = shard.submission and condition.number = shard.number) as done
     from lab.shard where submission in (select value::uuid from jsonb_array_elements_text($1::jsonb))
     order by number`,
    [ids],
  );
  const rigs = await rigsOf(database);
  return {
    at: new Date().toISOString(),
    submissions: submissions.map((one) => ({
      ...{ id: one.id, submittedAt: one.at.toISOString(), by: one.by, lamp: one.lamp },
      ...{ build: one.build, tags: one.tags, state: one.state, why: one.why },
      ...{ verdict: one.verdict, run: one.folder },
      shards: shards.filter(({ submission }) => submission === one.id).map(shardOf),
    })),
    rigs,
    schedules: await schedules.list(),
  };
}

export type Overview = Awaited<ReturnType<typeof overviewOf>>;

function shardOf({ number, state, rig, attempts, done, planned, rig_time: rigTime }: CountedShard) {
  // What has ended is whole, also where its rig sent its conditions with the run alone.
  const ended = state === 'ended' ? planned : Math.min(Number(done), planned);
  return { ...{ number, state, rig, attempts, planned, rigTime }, done: ended };
}

async function rigsOf(database: Database) {
  const rigs = await database.query<RigRow & { heard: boolean }>(
    `select rig.*, rig.heard_at > now() - $1 * interval '1 second' as heard
     from lab.rig join lab.holder using (name) where revoked_at is null order by name`,
    [heardFor],
  );
  const running = await database.query<ShardRow & { heard: boolean }>(
    `select *, heard_at > now() - $1 * interval '1 second' as heard from lab.shard where state = 'running'`,
    [heardFor],
  );
  const declines = await database.query<{ rig: string; why: string }>(
    'select rig, why from lab.decline order by at desc limit 200',
  );
  return rigs.map((rig) => {
    const now = running.find((shard) => shard.rig === rig.name);
    return {
      ...{ name: rig.name, simulated: rig.simulated, place: rig.place },
      lamps: rig.lamp === null ? [] : [rig.lamp],
      lastSeen: rig.heard_at.toISOString(),
      isHeard: now ? now.heard : rig.heard,
      now: now ? { submission: now.submission, shard: now.number, condition: now.condition } : null,
      calibration: calibrationOf(rig),
      declines: declines
        .filter((one) => one.rig === rig.name)
        .map(({ why }) => why)
        .slice(0, most.declines),
    };
  });
}

function calibrationOf(rig: RigRow) {
  const now = new Date().toISOString();
  return dueOf(rig).map((one) => ({ ...one, state: calibrationState(one.due, now) }));
}

type Due = readonly { readonly instrument: string; readonly due: string }[];

/** Rig files that were read, by their text: pages ask every second. */
const read = new Map<string, Due>();
const mostRead = 1000;

function dueOf({ text, file }: RigRow): Due {
  const known = read.get(text);
  if (known) return known;
  const found = readRig(text, file, driverSettings);
  const instruments = 'rig' in found ? found.rig.instruments : [];
  const due = instruments.flatMap(({ name: instrument, calibration }) =>
    calibration ? [{ instrument, due: calibration.due }] : [],
  );
  if (read.size >= mostRead) read.clear();
  read.set(text, due);
  return due;
}
