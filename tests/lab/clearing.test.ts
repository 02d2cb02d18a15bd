import { randomBytes } from 'node:crypto';
import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { checkSeal } from '../../harness/archive/check-seal.ts';
import { manifestFile, manifestText, readManifest } from '../../harness/archive/manifest.ts';
import { readRecordFile, recordFile } from '../../harness/archive/record-file.ts';
import { Clearing } from '../../harness/lab/clearing/clearing.ts';
import { colourSpec, desk, dimmingSpec } from '../cli/small-specs.ts';
import { readOpenMetrics } from '../report/exchange/open-metrics-reader.ts';
import { digestOf, requestOf, rigAt, sendFile, submitted } from './lab-files.ts';
import { digestsIn, later } from './later.ts';
import { OpenLab } from './open-lab.ts';
import { endOf, rigHere, submitHere } from './rig-here.ts';

let lab: OpenLab;
let dora = '';
beforeAll(async () => {
  lab = await OpenLab.open();
  dora = await lab.token('dora', 'submit');
});
afterAll(() => lab.close());

/** Nothing is wanted any more, and nothing is left. */
afterEach(async () => {
  const { database } = lab.lab;
  await database.query(
    `update lab.submission set state = 'cancelled', ended_at = now() where state <> 'cancelled'`,
  );
  await later(lab, 31);
  await clear();
  expect(digestsIn(lab.folder)).toEqual([]);
  await database.query(`update lab.clearing set files = 0, bytes = 0, at = null`);
});

const inputs = [requestOf().lamp, ...requestOf().specs].map(({ digest }) => digest).sort();

async function clear() {
  const cleared = await lab.lab.clearing?.run();
  if (!cleared) throw new Error('this lab clears nothing');
  return cleared;
}

async function metrics(): Promise<ReadonlyMap<string, number>> {
  const { said } = await lab.ask(dora, 'GET', '/metrics');
  return readOpenMetrics(said['text'] as string);
}

describe('a clearing', () => {
  beforeAll(async () => void (await rigAt(lab, 'left')));
  afterAll(() => lab.lab.database.query(`delete from lab.fit; delete from lab.rig`));

  it('takes what nobody submitted, after its first day, and counts it', async () => {
    await sendFile(lab, dora, randomBytes(1000));
    await sendFile(lab, dora, randomBytes(500));
    expect(await clear()).toEqual({ files: 0, bytes: 0 });
    await later(lab, 0.9);
    expect(await clear()).toEqual({ files: 0, bytes: 0 });
    await later(lab, 0.2);
    await sendFile(lab, dora, randomBytes(70));
    expect(await clear()).toEqual({ files: 2, bytes: 1500 });
    expect(digestsIn(lab.folder)).toHaveLength(1);
    const told = await metrics();
    expect(told.get('evenfall_lab_cleared_files_total')).toBe(2);
    expect(told.get('evenfall_lab_cleared_bytes_total')).toBe(1500);
    expect(
      Date.now() / 1000 - (told.get('evenfall_lab_cleared_timestamp_seconds') ?? 0),
    ).toBeLessThan(60);
    expect(told.get('evenfall_lab_files_bytes')).toBe(70);
  });

  it('leaves the inputs of a submission while it is open, and for 30 days from its end', async () => {
    const id = await submitted(lab, dora);
    await later(lab, 100);
    await clear();
    expect(digestsIn(lab.folder)).toEqual(inputs);
    await lab.ask(dora, 'POST', `/api/submissions/${id}/cancel`, {});
    await later(lab, 29);
    await clear();
    expect(digestsIn(lab.folder)).toEqual(inputs);
    expect(existsSync(join(lab.folder, 'inputs', id, 'lamp.yaml'))).toBe(true);
    await later(lab, 2);
    expect((await clear()).files).toBe(inputs.length);
    expect(digestsIn(lab.folder)).toEqual([]);
    // Their hard links would have kept the bytes.
    expect(readdirSync(join(lab.folder, 'inputs'))).toEqual([]);
  });

  it('leaves the inputs of a schedule as long as there is one', async () => {
    const id = await submitted(lab, dora);
    await lab.ask(dora, 'POST', `/api/submissions/${id}/cancel`, {});
    const nightly = { name: 'nightly', cron: '30 2 * * *', zone: 'UTC', request: requestOf() };
    expect((await lab.ask(dora, 'POST', '/api/schedules', nightly)).status).toBe(200);
    await later(lab, 400);
    await clear();
    expect(digestsIn(lab.folder)).toEqual(inputs);
    await lab.lab.schedules.submit('nightly');
    expect((await lab.lab.schedules.list())[0]?.why).toBeNull();
    await lab.ask(dora, 'POST', '/api/schedules/nightly/remove', {});
    await lab.lab.database.query(`update lab.submission set state = 'failed', ended_at = now()`);
    await later(lab, 31);
    await clear();
    expect(digestsIn(lab.folder)).toEqual([]);
  });

  it('removes folders that a killed service left, and none that somebody is at', async () => {
    const id = await submitted(lab, dora);
    const left = ['inputs/being-laid-out-old', `merging/${id}`, `inputs/${id.replace(/^./, 'f')}`];
    for (const name of left) mkdirSync(join(lab.folder, name), { recursive: true });
    await lab.lab.database.query(`update lab.submission set state = 'failed', ended_at = now()`);
    await later(lab, 2);
    mkdirSync(join(lab.folder, 'inputs/being-laid-out-new'));
    await clear();
    for (const name of left) expect(existsSync(join(lab.folder, name)), name).toBe(false);
    expect(readdirSync(join(lab.folder, 'inputs')).sort()).toEqual(
      [id, 'being-laid-out-new'].sort(),
    );
  });

  it('is begun by the clock of the queue, once an hour', async () => {
    const known = await lab.lab.database.query(
      `select cron, timezone from lab_queue.schedule where name = 'clearing'`,
    );
    expect(known).toEqual([{ cron: '23 * * * *', timezone: 'UTC' }]);
    await sendFile(lab, dora, randomBytes(1000));
    await later(lab, 2);
    // What the queue does at its minute.
    await lab.lab.database.query(
      `insert into lab_queue.job (name, data) values ('clearing', '{}')`,
    );
    await expect.poll(() => digestsIn(lab.folder), { timeout: 15_000 }).toEqual([]);
  });
});

const library = {
  'specs/a.spec.yaml': dimmingSpec('long', ['50 %', '20 %', '10 %']),
  'specs/b.spec.yaml': colourSpec,
  'specs/c.spec.yaml': dimmingSpec('short', ['5 %']),
};

/** A submission in two shards that a rig has judged; its id. */
async function judged(): Promise<string> {
  const url = await lab.listen();
  await expect
    .poll(() => lab.lab.database.query('select name from lab.rig'), { timeout: 30_000 })
    .toHaveLength(1);
  const id = await submitHere({ url, token: dora, cwd: desk(library) }, 2);
  expect(await endOf(url, dora, id)).toMatchObject({ state: 'ended', why: null });
  return id;
}

async function mergedFolder(id: string): Promise<string> {
  return join(lab.folder, 'reports', (await lab.lab.submissions.find(id)).folder ?? '');
}

function capturesIn(folder: string): string[] {
  return readdirSync(join(folder, 'captures')).map((name) => join(folder, 'captures', name));
}

/** As before, but for its time. */
function change(path: string, by: (bytes: Buffer) => void): void {
  const [bytes, { atime, mtime }] = [readFileSync(path), statSync(path)];
  by(bytes);
  writeFileSync(path, bytes);
  utimesSync(path, atime, mtime);
}

/** What can become of a run in an archive. */
const harms: Readonly<Record<string, (run: string) => Promise<void> | void>> = {
  'a bit is another': (run) =>
    change(capturesIn(run)[0] ?? '', (bytes) => {
      bytes[bytes.length - 1] = (bytes.at(-1) ?? 0) ^ 1;
    }),
  'it is not there': (run) => rmSync(run, { recursive: true }),
  'its record is another': (run) =>
    change(join(run, recordFile), (bytes) => {
      bytes[bytes.indexOf('The lamp dims')] = 0x74;
    }),
  'it has no seal': (run) => rmSync(join(run, manifestFile)),
  'it was sealed again without a capture': async (run) => {
    const manifest = await readManifest(run);
    const [lost] = (manifest?.files ?? []).filter(({ file }) => file.startsWith('captures/'));
    const files = (manifest?.files ?? []).filter((one) => one !== lost);
    rmSync(join(run, lost?.file ?? ''));
    writeFileSync(join(run, manifestFile), manifestText({ run: manifest?.run ?? '', files }));
    expect(await checkSeal(run)).toMatchObject({ state: 'sealed' });
  },
};

/** By a service that has just started: it looks at every run. */
async function clearAnew() {
  const { database, files, archive } = lab.lab;
  const onError = (error: Error): void => void lab.errors.push(error.message);
  const { signal } = new AbortController();
  const { folder } = lab;
  await new Clearing({
    ...{ database, files, archive, folder, keep: 30 * 86_400, signal, onError },
  }).run();
}

describe('what shards have brought', () => {
  let rig: ReturnType<typeof rigHere>;
  beforeAll(async () => {
    rig = rigHere(await lab.listen(), await lab.token('right', 'run'));
  });
  afterAll(() => rig.stop());

  it('goes once the merged run has all of it, the inputs later', async () => {
    const id = await judged();
    const run = await mergedFolder(id);
    const all = digestsIn(lab.folder);
    await clear();
    expect(digestsIn(lab.folder)).toEqual(all);
    await later(lab, 1.1);
    const { files, bytes } = await clear();
    const left = digestsIn(lab.folder);
    const { request } = await lab.lab.submissions.find(id);
    const own = [request.lamp, ...request.specs].map(({ digest }) => digest).sort();
    expect(left).toEqual(own);
    expect(files).toBe(all.length - left.length);
    expect(bytes).toBeGreaterThan(50_000);
    expect((await metrics()).get('evenfall_lab_submissions_unproven')).toBe(0);
    expect(await checkSeal(run)).toMatchObject({ state: 'sealed', problems: [] });
    await later(lab, 30);
    await clear();
    expect(digestsIn(lab.folder)).toEqual([]);
    expect(lab.errors).toEqual([]);
  });

  it('stays as long as the archive has not all of it as it was sealed, and monitoring is told', async () => {
    const id = await judged();
    const run = await mergedFolder(id);
    await later(lab, 3);
    const brought = digestsIn(lab.folder);
    const before = `${run}.before`;
    cpSync(run, before, { recursive: true, preserveTimestamps: true });
    for (const [what, harm] of Object.entries(harms)) {
      await harm(run);
      await clearAnew();
      expect(digestsIn(lab.folder), what).toEqual(brought);
      const unproven = (await metrics()).get('evenfall_lab_submissions_unproven');
      expect(unproven, what).toBe(1);
      const told = lab.errors.splice(0).join();
      expect(told, what).toContain(`the files of the submission ${id} stay: its run`);
      rmSync(run, { recursive: true, force: true });
      cpSync(before, run, { recursive: true, preserveTimestamps: true });
    }
    await lab.lab.database.query(`update lab.submission set run = gen_random_uuid()::text`);
    await clearAnew();
    expect(digestsIn(lab.folder), 'of another id').toEqual(brought);
    await lab.lab.database.query(`update lab.submission set run = $1`, [
      (await readRecordFile(run)).id,
    ]);
    await clearAnew();
    expect(digestsIn(lab.folder).length).toBeLessThan(brought.length);
  });

  it('stays where the run of the archive is of other shards', async () => {
    const id = await judged();
    await lab.lab.database.query(
      `update lab.shard set files = (select jsonb_agg(case when one->>'file' = 'manifest.json'
         then jsonb_build_object('file', 'manifest.json', 'digest', $1::text) else one end) from jsonb_array_elements(files) one)`,
      [digestOf('other')],
    );
    const brought = digestsIn(lab.folder);
    await later(lab, 3);
    await clear();
    const kept = new Set(digestsIn(lab.folder));
    expect((await metrics()).get('evenfall_lab_submissions_unproven')).toBe(1);
    // Only the two manifests that the table does not name any more went.
    expect(brought.filter((digest) => !kept.has(digest))).toHaveLength(2);
    expect(lab.errors.join()).toContain(id);
  });
});
