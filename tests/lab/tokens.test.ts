import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { digestOf, requestOf, rigAt, sendFile, submitted } from './lab-files.ts';
import { OpenLab } from './open-lab.ts';

let lab: OpenLab;
const tokens = new Map<string, string>();
let submission = '';
let lease = '';
const digest = '0'.repeat(64);

beforeAll(async () => {
  lab = await OpenLab.open();
  for (const role of ['submit', 'sign', 'administer'] as const)
    tokens.set(role, await lab.token(`${role}-only`, role));
  tokens.set('rig', await rigAt(lab, 'left'));
  tokens.set('other rig', await rigAt(lab, 'right'));
  submission = await submitted(lab, tokens.get('submit') ?? '');
  const taken = await lab.ask(tokens.get('rig') ?? '', 'POST', '/api/rigs/left/take', {});
  lease = (taken.said['lease'] as { lease: string }).lease;
});
afterAll(() => lab.close());

interface Asked {
  readonly what: string;
  readonly method: string;
  readonly path: () => string;
  readonly body?: unknown;
  /** Who may; everybody else is turned away with 403. */
  readonly may: readonly string[];
}

const everybody = ['submit', 'sign', 'administer', 'rig', 'other rig'];
const people = ['submit', 'sign', 'administer'];

const asked: readonly Asked[] = [
  { what: 'read the metrics', method: 'GET', path: () => '/metrics', may: people },
  { what: 'ask who they are', method: 'GET', path: () => '/api/me', may: everybody },
  {
    what: 'ask what files are missing',
    ...{ method: 'POST', path: () => '/api/files/missing', body: { digests: [digest] } },
    may: ['submit', 'rig', 'other rig'],
  },
  {
    what: 'ask how much of a file has come',
    ...{ method: 'GET', path: () => `/api/files/${digest}/received` },
    may: ['submit', 'rig', 'other rig'],
  },
  {
    what: 'send a piece of a file',
    ...{ method: 'PUT', path: () => `/api/files/${'1'.repeat(64)}?from=0&of=10` },
    body: new Uint8Array(0),
    may: ['submit', 'rig', 'other rig'],
  },
  {
    what: 'read an input of a shard that the first rig has',
    ...{ method: 'GET', path: () => `/api/files/${requestOf().lamp.digest}` },
    may: [...people, 'rig'],
  },
  {
    what: 'submit',
    ...{ method: 'POST', path: () => '/api/submissions', body: requestOf() },
    may: ['submit'],
  },
  {
    what: 'look at a submission',
    ...{ method: 'GET', path: () => `/api/submissions/${submission}` },
    may: people,
  },
  {
    what: 'read files of its run',
    ...{ method: 'GET', path: () => `/api/submissions/${submission}/files/junit.xml` },
    may: people,
  },
  {
    what: 'read the rig file of the first rig',
    ...{ method: 'GET', path: () => '/api/rigs/left/file' },
    may: ['administer', 'rig'],
  },
  {
    what: 'take shards for the second rig',
    ...{ method: 'POST', path: () => '/api/rigs/right/take', body: {} },
    may: ['other rig'],
  },
  {
    what: 'ask for the state of a lease',
    ...{ method: 'GET', path: () => `/api/leases/${lease}` },
    may: ['rig', 'other rig'],
  },
  {
    what: 'list schedules',
    ...{ method: 'GET', path: () => '/api/schedules' },
    may: ['submit', 'administer'],
  },
  {
    what: 'set up a schedule',
    ...{ method: 'POST', path: () => '/api/schedules', body: {} },
    may: ['submit'],
  },
  {
    what: 'end a schedule',
    ...{ method: 'POST', path: () => '/api/schedules/none/remove', body: {} },
    may: ['submit', 'administer'],
  },
  {
    what: 'ask what of a run is signed',
    ...{ method: 'GET', path: () => '/api/runs/latest' },
    may: ['sign'],
  },
  {
    what: 'fetch a file of a run to sign',
    ...{ method: 'GET', path: () => '/api/runs/latest/files/manifest.json' },
    may: ['sign'],
  },
  {
    what: 'fetch the ledger of decisions',
    ...{ method: 'GET', path: () => '/api/ledger' },
    may: ['sign'],
  },
  {
    what: 'send a sign-off',
    ...{ method: 'POST', path: () => '/api/runs/latest/sign-offs', body: {} },
    may: ['sign'],
  },
  { what: 'list who has tokens', method: 'GET', path: () => '/api/holders', may: ['administer'] },
  {
    what: 'replace a token',
    ...{ method: 'POST', path: () => '/api/holders/nobody/replace', body: {} },
    may: ['administer'],
  },
  {
    what: 'take a token away',
    ...{ method: 'POST', path: () => '/api/holders/nobody/revoke', body: {} },
    may: ['administer'],
  },
  {
    what: 'cancel what somebody else submitted',
    ...{ method: 'POST', path: () => `/api/submissions/${submission}/cancel`, body: {} },
    may: ['submit', 'administer'],
  },
];

describe('a token', () => {
  it.each(asked)('lets some $what, and nobody else', async ({ method, path, body, may }) => {
    for (const [who, token] of tokens) {
      const { status } = await lab.ask(token, method, path(), body);
      if (may.includes(who)) expect([401, 403], who).not.toContain(status);
      else expect(status, who).toBe(403);
    }
    expect((await lab.ask(null, method, path(), body)).status).toBe(401);
    const guessed = await lab.ask('evenfall_guess-that-is-long-enough', method, path(), body);
    expect(guessed.status).toBe(401);
  });

  it('of a rig works on no lease of another', async () => {
    const other = tokens.get('other rig') ?? '';
    const alive = await lab.ask(other, 'POST', `/api/leases/${lease}/alive`, { condition: null });
    expect(alive.status).toBe(409);
    expect((await lab.ask(other, 'GET', `/api/leases/${lease}`)).said).toEqual({ state: 'gone' });
  });

  it('that was taken away or replaced is worth nothing', async () => {
    const admin = tokens.get('administer') ?? '';
    const first = await lab.token('leaves', 'submit');
    expect((await lab.ask(first, 'GET', '/api/me')).status).toBe(200);
    const replaced = await lab.ask(admin, 'POST', '/api/holders/leaves/replace', {});
    expect((await lab.ask(first, 'GET', '/api/me')).status).toBe(401);
    const second = replaced.said['token'] as string;
    expect((await lab.ask(second, 'GET', '/api/me')).status).toBe(200);
    await lab.ask(admin, 'POST', '/api/holders/leaves/revoke', {});
    expect((await lab.ask(second, 'GET', '/api/me')).status).toBe(401);
  });

  it('lies nowhere in the folder of the lab', () => {
    const files = readdirSync(lab.folder, { recursive: true, encoding: 'utf8' })
      .map((name) => join(lab.folder, name))
      .filter((path) => statSync(path).isFile());
    expect(files.length).toBeGreaterThan(100);
    for (const path of files) {
      const bytes = readFileSync(path);
      for (const token of tokens.values()) expect(bytes.includes(token), path).toBe(false);
    }
  });

  it('of a rig reads no file of a shard that it does not have', async () => {
    const submit = tokens.get('submit') ?? '';
    const secret = 'only for those who submit';
    await sendFile(lab, submit, secret);
    const { status } = await lab.ask(
      tokens.get('rig') ?? '',
      'GET',
      `/api/files/${digestOf(secret)}`,
    );
    expect(status).toBe(403);
  });
});
