import { setTimeout as wait } from 'node:timers/promises';
import { afterEach, describe, expect, it } from 'vitest';
import { digestOf, registration, rigAt, sendFile, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
afterEach(() => lab.close());

async function opened(silence?: number): Promise<string> {
  lab = await OpenLab.open(silence);
  return lab.token('dora', 'submit');
}

interface Lease {
  readonly lease: string;
  readonly claims: readonly string[];
  readonly shard: { readonly number: number; readonly of: number };
  readonly conditions: readonly { readonly spec: string; readonly key: string }[];
  readonly earlier: readonly { readonly run: string; readonly conditions: readonly unknown[] }[];
}

async function take(token: string, rig: string): Promise<Lease | null> {
  const { said } = await lab.ask(token, 'POST', `/api/rigs/${rig}/take`, {});
  return said['lease'] as Lease | null;
}

async function stateOf(token: string, submission: string) {
  const { said } = await lab.ask(token, 'GET', `/api/submissions/${submission}`);
  return said as {
    submission: { state: string; why: string | null };
    shards: { state: string; rig: string; attempts: number; why: string | null }[];
  };
}

const bench = {
  startedAt: '2026-11-30T10:00:00.000Z',
  rig: {
    ...{ name: 'left', place: 'here', file: 'a.rig.yaml', digest: digestOf('a'), simulated: true },
    ...{ ambient: 25, instruments: [], notes: {} },
  },
  lamp: { serial: 'simulated' },
};

/** A condition as a rig stores it, without captures. */
function condition(key: string) {
  return {
    ...{ key, values: {}, repeat: 1, verdict: 'pass', reason: null, duration: 1, attempts: 1 },
    ...{ startedAt: '2026-11-30T10:00:00.000Z', marks: [], commands: [], captures: [] },
    findings: [],
  };
}

async function store(
  token: string,
  lease: string,
  { spec, key, run }: { readonly spec: string; readonly key: string; readonly run: string },
  record = JSON.stringify(condition(key)),
) {
  await sendFile(lab, token, record);
  return lab.ask(token, 'POST', `/api/leases/${lease}/conditions`, {
    ...{ run, spec, key, repeat: 1, record: digestOf(record), captures: [] },
  });
}

describe('a shard', () => {
  it('is one rig’s alone', async () => {
    const dora = await opened();
    const [left, right] = [await rigAt(lab, 'left'), await rigAt(lab, 'right')];
    await submitted(lab, dora, { shards: 1 });
    const taken = await Promise.all([take(left, 'left'), take(right, 'right'), take(left, 'left')]);
    expect(taken.filter((one) => one !== null)).toHaveLength(1);
  });

  it('goes to another rig when its own is silent, with what was stored of it', async () => {
    const dora = await opened(2);
    const left = await rigAt(lab, 'left');
    const id = await submitted(lab, dora);
    const first = await take(left, 'left');
    const lease = first?.lease ?? '';
    await lab.ask(left, 'POST', `/api/leases/${lease}/begun`, { run: 'run-1', ...bench });
    const stored = await store(left, lease, { spec: 'first', key: 'level=50 %', run: 'run-1' });
    expect(stored.status, JSON.stringify(stored.said)).toBe(200);
    const right = await rigAt(lab, 'right');
    await expect
      .poll(() => take(right, 'right').then((one) => one?.conditions), { timeout: 9000 })
      .toMatchObject([{ spec: 'first', key: 'level=50 %', run: 'run-1' }]);
    const { shards } = await stateOf(dora, id);
    expect(shards).toMatchObject([{ state: 'running', rig: 'right', attempts: 2 }]);
    // Whoever was silent has lost it, whatever it brings.
    expect((await lab.ask(left, 'GET', `/api/leases/${lease}`)).said).toEqual({ state: 'gone' });
    const late = await store(left, lease, { spec: 'first', key: 'level=20 %', run: 'run-1' });
    expect(late.status).toBe(409);
    expect(
      (await lab.ask(left, 'POST', `/api/leases/${lease}/alive`, { condition: null })).status,
    ).toBe(409);
  });

  it('stays with a rig that is heard of', async () => {
    const dora = await opened(2);
    const left = await rigAt(lab, 'left');
    const id = await submitted(lab, dora);
    const taken = await take(left, 'left');
    for (let second = 0; second < 3; second += 0.3) {
      const alive = { condition: 'first level=50 %' };
      const { status } = await lab.ask(left, 'POST', `/api/leases/${taken?.lease}/alive`, alive);
      expect(status).toBe(200);
      await wait(300);
    }
    expect((await stateOf(dora, id)).shards).toMatchObject([{ state: 'running', attempts: 1 }]);
  });

  it('says which bench measured what before', async () => {
    const dora = await opened();
    const left = await rigAt(lab, 'left');
    await submitted(lab, dora);
    const first = (await take(left, 'left'))?.lease ?? '';
    await lab.ask(left, 'POST', `/api/leases/${first}/begun`, { run: 'run-1', ...bench });
    await store(left, first, { spec: 'second', key: 'level=10 %', run: 'run-1' });
    const back = { why: 'its supply is broken', pause: 60 };
    await lab.ask(left, 'POST', `/api/leases/${first}/hand-back`, back);
    // It is not offered to the same rig again, but to any other.
    expect(await take(left, 'left')).toBeNull();
    const right = await rigAt(lab, 'right');
    const next = await take(right, 'right');
    expect(next?.earlier).toMatchObject([
      {
        ...{ run: 'run-1', rig: { name: 'left' } },
        conditions: [{ spec: 'second', key: 'level=10 %', repeat: 1 }],
      },
    ]);
  });

  it('that is begun too often without an end fails its submission, with the reason', async () => {
    const dora = await opened();
    const left = await rigAt(lab, 'left');
    const id = await submitted(lab, dora, { shards: 2 });
    for (let attempt = 1; attempt <= 3; attempt++) {
      const taken = await take(left, 'left');
      const back = { why: 'no light', pause: 0 };
      await lab.ask(left, 'POST', `/api/leases/${taken?.lease}/hand-back`, back);
    }
    const { submission, shards } = await stateOf(dora, id);
    expect(submission).toMatchObject({ state: 'failed' });
    expect(submission.why).toContain('left: no light');
    expect(shards.every(({ state }) => state === 'failed')).toBe(true);
    expect(await take(left, 'left')).toBeNull();
  });

  it('of a cancelled submission is taken by nobody, and lost to who has it', async () => {
    const dora = await opened();
    const left = await rigAt(lab, 'left');
    const id = await submitted(lab, dora, { shards: 2 });
    const taken = await take(left, 'left');
    expect((await lab.ask(dora, 'POST', `/api/submissions/${id}/cancel`, {})).status).toBe(200);
    expect((await stateOf(dora, id)).submission).toMatchObject({
      ...{ state: 'cancelled', why: 'cancelled by dora' },
    });
    const alive = await lab.ask(left, 'POST', `/api/leases/${taken?.lease}/alive`, {
      condition: null,
    });
    expect(alive.status).toBe(409);
    expect(await take(left, 'left')).toBeNull();
  });

  it('takes no record of another condition, no strange claim and no lacking capture', async () => {
    const dora = await opened();
    const left = await rigAt(lab, 'left');
    await submitted(lab, dora);
    const lease = (await take(left, 'left'))?.lease ?? '';
    const of = { spec: 'first', key: 'level=50 %', run: 'run-1' };
    const other = await store(left, lease, of, JSON.stringify(condition('level=20 %')));
    expect(other.status).toBe(422);
    expect((await store(left, lease, of, '{"key": 1}')).status).toBe(422);
    expect((await store(left, lease, { ...of, spec: 'strange' })).status).toBe(422);
    const capture = { id: 'c', signal: 'light', of: 'light', file: '0001-c.res', taken: 'at-once' };
    const numbers = { dt_s: 1, t0_s: 0, samples: 1, scale: 1, offset: 0, clipped: 0 };
    const lacking = { ...condition('level=50 %'), captures: [{ ...capture, ...numbers }] };
    expect((await store(left, lease, of, JSON.stringify(lacking))).status).toBe(422);
  });
});

describe('a rig', () => {
  it('of another version, or of other code where it is simulated, is not registered', async () => {
    await opened();
    const token = await lab.token('old', 'run');
    const older = { ...registration, version: '0.0.1' };
    const answer = await lab.ask(token, 'PUT', '/api/rigs/old', older);
    expect(answer.status).toBe(409);
    expect(answer.said['refused']).toContain('found 0.0.1');
    const altered = { ...registration, code: digestOf('other code') };
    expect((await lab.ask(token, 'PUT', '/api/rigs/old', altered)).status).toBe(409);
  });

  it('with a mistake in its file gets its line and column back', async () => {
    await opened();
    const token = await lab.token('left', 'run');
    const wrong = { ...registration, text: 'rig: left\nplace: 5\n' };
    const { status, said } = await lab.ask(token, 'PUT', '/api/rigs/left', wrong);
    expect(status).toBe(422);
    expect(said['refused']).toContain('simulated.rig.yaml:2:');
  });

  it('for another kind of lamp gets nothing', async () => {
    const dora = await opened();
    await rigAt(lab, 'left');
    await submitted(lab, dora);
    const token = await lab.token('special', 'run');
    await lab.ask(token, 'PUT', '/api/rigs/special', { ...registration, lamp: 'Alcove-9' });
    expect(await take(token, 'special')).toBeNull();
  });
});
