import { randomBytes } from 'node:crypto';
import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readOpenMetrics } from '../report/exchange/open-metrics-reader.ts';
import { rigAt, sendFile, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
let dora = '';
let left = '';
beforeAll(async () => {
  lab = await OpenLab.open();
  dora = await lab.token('dora', 'submit');
  left = await rigAt(lab, 'left');
});
afterAll(() => lab.close());

async function metrics(): Promise<ReadonlyMap<string, number>> {
  const { status, said } = await lab.ask(dora, 'GET', '/metrics');
  expect(status).toBe(200);
  return readOpenMetrics(said['text'] as string);
}

function bytesIn(folder: string): number {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => statSync(join(folder, name)))
    .reduce((sum, entry) => sum + (entry.isFile() ? entry.size : 0), 0);
}

describe('the metrics of a lab', () => {
  it('follow a submission from the queue to its verdict', async () => {
    const before = await metrics();
    expect(before.get('evenfall_lab_shards{state="queued"}')).toBe(0);
    expect(before.get('evenfall_lab_oldest_waiting_seconds')).toBe(0);
    const submission = await submitted(lab, dora, { shards: 2 });
    const { database } = lab.lab;
    await database.query("update lab.submission set at = at - interval '1 hour'");
    const waiting = await metrics();
    expect(waiting.get('evenfall_lab_shards{state="queued"}')).toBe(2);
    expect(waiting.get('evenfall_lab_submissions{state="queued"}')).toBe(1);
    const waited = waiting.get('evenfall_lab_oldest_waiting_seconds') ?? 0;
    expect(waited).toBeGreaterThanOrEqual(3600);
    expect(waited).toBeLessThan(3900);
    await lab.ask(left, 'POST', '/api/rigs/left/take', {});
    const running = await metrics();
    expect(running.get('evenfall_lab_shards{state="queued"}')).toBe(1);
    expect(running.get('evenfall_lab_shards{state="running"}')).toBe(1);
    expect(running.get('evenfall_lab_submissions{state="running"}')).toBe(1);
    for (const [verdict, at] of [
      ['pass', '2026-11-01T10:00:00Z'],
      ['fail', '2026-11-02T10:00:00Z'],
    ]) {
      const id = verdict === 'fail' ? submission : await submitted(lab, dora);
      await database.query(
        "update lab.submission set state = 'ended', verdict = $2, ended_at = $3::timestamptz where id = $1",
        [id, verdict, at],
      );
    }
    const ended = await metrics();
    const of = 'lamp="alcove-6",build="1.0",simulated="true"';
    const last = (verdict: string) =>
      ended.get(`evenfall_lab_verdict{${of},evenfall_lab_verdict="${verdict}"}`);
    expect([last('fail'), last('pass')], [...ended.keys()].join('\n')).toEqual([1, 0]);
    expect(ended.get(`evenfall_lab_verdict_timestamp_seconds{${of}}`)).toBe(
      Date.parse('2026-11-02T10:00:00Z') / 1000,
    );
    expect(ended.get('evenfall_lab_submissions{state="ended"}')).toBe(2);
  });

  it('tell which rigs are heard, also while they run', async () => {
    const heard = 'evenfall_lab_rig_heard{rig="left",simulated="true"}';
    const { database } = lab.lab;
    expect((await metrics()).get(heard)).toBe(1);
    await database.query("update lab.rig set heard_at = now() - interval '1 hour'");
    // It has a shard, and said so a moment ago.
    expect((await metrics()).get(heard)).toBe(1);
    await database.query("update lab.shard set heard_at = now() - interval '1 hour'");
    expect((await metrics()).get(heard)).toBe(0);
  });

  it('count the bytes of all files, once a minute', async () => {
    const other = await OpenLab.open();
    try {
      const token = await other.token('dora', 'submit');
      await sendFile(other, token, randomBytes(5000));
      const stored = bytesIn(join(other.folder, 'files'));
      expect(stored).toBeGreaterThanOrEqual(5000);
      const read = async () =>
        readOpenMetrics((await other.ask(token, 'GET', '/metrics')).said['text'] as string);
      expect((await read()).get('evenfall_lab_files_bytes')).toBe(stored);
      await sendFile(other, token, randomBytes(700));
      expect((await read()).get('evenfall_lab_files_bytes')).toBe(stored);
    } finally {
      await other.close();
    }
  });

  it('of a lab without any file are whole', async () => {
    const other = await OpenLab.open();
    try {
      const token = await other.token('emil', 'sign');
      const { status, said } = await other.ask(token, 'GET', '/metrics');
      expect(status).toBe(200);
      expect(readOpenMetrics(said['text'] as string).get('evenfall_lab_files_bytes')).toBe(0);
    } finally {
      await other.close();
    }
  });
});
