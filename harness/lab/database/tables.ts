import { Complaint } from '../../workflow/complaint.ts';
import type { Database } from './database.ts';

const version = 2;

/**
 * The tables of the lab, in their own schema beside that of the queue. `shard.state` and `submission.state` follow the queue: which rig
 * gets a shard is decided there alone.
 */
const tables = `
create schema if not exists lab;
create table if not exists lab.version (version int not null);
create table if not exists lab.holder (
  name text primary key,
  kind text not null,
  roles jsonb not null,
  token_hash text not null unique,
  created_at timestamptz not null default now(),
  created_by text,
  revoked_at timestamptz
);
create table if not exists lab.session (
  hash text primary key,
  holder text not null references lab.holder,
  expires_at timestamptz not null
);
create table if not exists lab.rig (
  name text primary key references lab.holder,
  file text not null,
  text text not null,
  digest text not null,
  lamp text,
  simulated boolean not null,
  place text not null,
  program text not null,
  registered_at timestamptz not null default now(),
  heard_at timestamptz not null default now()
);
create table if not exists lab.submission (
  id uuid primary key,
  place bigint generated always as identity,
  at timestamptz not null default now(),
  by text not null,
  state text not null,
  why text,
  request jsonb not null,
  whole jsonb not null,
  lamp text not null,
  build text not null,
  tags jsonb not null,
  simulated boolean not null,
  verdict text,
  run text,
  folder text,
  merging_at timestamptz,
  merger uuid,
  ended_at timestamptz
);
create index if not exists submission_open on lab.submission (place) where state in ('queued', 'running', 'merging');
create index if not exists submission_place on lab.submission (place);
create table if not exists lab.shard (
  submission uuid not null references lab.submission,
  number int not null,
  queue text not null,
  job uuid not null,
  claims jsonb not null,
  planned int not null,
  rig_time float8 not null,
  state text not null,
  lease uuid unique,
  rig text,
  attempts int not null default 0,
  heard_at timestamptz,
  expires_at timestamptz,
  condition text,
  why text,
  run text,
  files jsonb,
  ended_at timestamptz,
  primary key (submission, number)
);
create index if not exists shard_open on lab.shard (submission) where state in ('queued', 'running');
create table if not exists lab.part (
  submission uuid not null references lab.submission,
  number int not null,
  run text not null,
  bench jsonb not null,
  at timestamptz not null default now(),
  primary key (submission, number, run)
);
create table if not exists lab.condition (
  submission uuid not null references lab.submission,
  number int not null,
  spec text not null,
  key text not null,
  repeat int not null,
  run text not null,
  record text not null,
  captures jsonb not null,
  at timestamptz not null default now(),
  primary key (submission, spec, key, repeat)
);
create table if not exists lab.fit (
  submission uuid not null references lab.submission,
  queue text not null,
  rig text not null,
  digest text not null,
  why text,
  primary key (submission, queue, rig, digest)
);
create table if not exists lab.decline (
  rig text not null,
  submission uuid not null references lab.submission,
  number int not null,
  why text not null,
  at timestamptz not null default now(),
  until timestamptz not null,
  primary key (submission, number, rig)
);
create table if not exists lab.schedule (
  name text primary key,
  cron text not null,
  zone text not null,
  request jsonb not null,
  by text not null,
  last_at timestamptz,
  why text
);
create table if not exists lab.clearing (
  one boolean primary key default true check (one),
  files bigint not null default 0,
  bytes bigint not null default 0,
  at timestamptz
);
insert into lab.clearing default values on conflict do nothing;
alter table lab.submission add column if not exists proven_at timestamptz;
`;

/** Makes the tables where they are not there yet. Rejects with a Complaint where a later version of Evenfall made them. */
export async function prepareTables(database: Database): Promise<void> {
  await database.transaction(async (statements) => {
    // Two services that start at once wait for one another.
    await statements.query(`select pg_advisory_xact_lock(724011)`);
    await statements.query(tables);
    const [found] = await statements.query<{ version: number }>('select version from lab.version');
    if (!found) await statements.query('insert into lab.version values ($1)', [version]);
    else if (found.version > version)
      throw new Complaint(
        'bad-file',
        `${database.name} is of a later version of Evenfall (tables ${found.version}, this one knows ${version}); use that one`,
      );
    // An earlier Evenfall tells that files are here without keeping them fresh: it may not serve this lab any more.
    else await statements.query('update lab.version set version = $1', [version]);
  });
}
