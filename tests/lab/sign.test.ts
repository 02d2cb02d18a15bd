import {
  appendFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { inTotoPayloadType, sealEnvelope } from '../../harness/archive/dsse.ts';
import { ledgerOf, readLedger } from '../../harness/archive/ledger.ts';
import { signRun } from '../../harness/archive/sign-run.ts';
import { verifyAgainstLedger } from '../../harness/archive/verify-against-ledger.ts';
import { register as labSign } from '../../harness/cli/lab/lab-sign.ts';
import { register as verify } from '../../harness/cli/release/verify.ts';
import { fetchRun } from '../../harness/lab/client/fetch-run.ts';
import { LabClient } from '../../harness/lab/client/lab-client.ts';
import { signoffToSend } from '../../harness/lab/client/send-signoff.ts';
import type { SentSignoff } from '../../harness/lab/protocol.ts';
import { writePolicy } from '../archive/release-policy.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { newPerson, passphrase, sealedRun } from '../archive/signed-run.ts';
import { runCommand } from '../cli/run-command.ts';
import { sampleCondition, sampleFinding, sampleSpec } from '../record/sample-record.ts';
import { OpenLab } from './open-lab.ts';

const scratch = scratchFolders();
const [mira, otto] = [newPerson('Mira'), newPerson('Otto')];
let keys = '';
/** Made once: a passphrase is slow to try, on purpose. */
beforeAll(async () => {
  keys = mkdtempSync(join(tmpdir(), 'evenfall-keys-'));
  for (const { name, privatePem, publicPem } of [mira, otto]) {
    writeFileSync(join(keys, `${name}.pem`), await privatePem(), { mode: 0o600 });
    writeFileSync(join(keys, `${name}.pub.pem`), publicPem);
  }
});

afterAll(() => rmSync(keys, { recursive: true, force: true }));

/** A lab without a policy, and one with the policy that lies among the keys. */
const labs = new Map<'free' | 'policy', OpenLab>();
beforeAll(async () => {
  labs.set('free', await OpenLab.open());
  labs.set('policy', await OpenLab.open(30, null, join(keys, 'release.policy.yaml')));
});
afterAll(async () => {
  for (const lab of labs.values()) await lab.close();
});

let count = 0;
const nextId = (): string => `${++count}`.padStart(3, '0').padEnd(20, 'f');

/** A lab with one more stored run, and somebody who may sign. */
async function desk(over: Parameters<typeof sealedRun>[1] = {}, kind: 'free' | 'policy' = 'free') {
  const lab = labs.get(kind);
  if (!lab) throw new Error('no lab is open');
  const url = await lab.listen();
  const token = await lab.token(`signer-${++count}`, 'sign');
  const id = nextId();
  const folder = await sealedRun(lab.lab.archive, { id, ...over });
  const run = basename(folder);
  const signed = (name: string, decision: string, ...more: string[]) =>
    runCommand(
      labSign,
      [
        ...[run, '--key', join(keys, `${name}.pem`), '--as', name],
        ...['--meaning', 'approval', '--decision', decision, '--lab', url, ...more],
      ],
      { env: { EVENFALL_LAB_TOKEN: token, EVENFALL_PASSPHRASE: passphrase } },
    );
  const client = new LabClient(url, token, new AbortController().signal);
  /** What the signer would send. */
  const made = async (
    person: typeof mira,
    changes: Partial<Parameters<typeof signRun>[1]> = {},
  ): Promise<SentSignoff> => {
    const fetched = await fetchRun(client, run, scratch());
    const request = {
      ...{ key: person.key, name: person.name, meaning: 'approval', decision: 'release' as const },
      ...{ waivers: [], signedAt: new Date().toISOString(), ledger: fetched.ledger, ...changes },
    };
    const file = await signRun(fetched.path, request);
    return signoffToSend(fetched, { file, publicPem: person.publicPem });
  };
  const send = (body: unknown, to = run) =>
    lab.ask(token, 'POST', `/api/runs/${to}/sign-offs`, body);
  return { lab, id, folder, run, token, signed, made, send };
}

/** Files of a run and of the ledger, with their bytes. */
function stateOf({ lab, folder }: { readonly lab: OpenLab; readonly folder: string }): string {
  const names = readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort();
  const files = names.map((name) => join(folder, name)).filter((path) => statSync(path).isFile());
  const ledger = ledgerOf(lab.lab.archive);
  const all = existsSync(ledger) ? [...files, ledger] : files;
  return all.map((path) => `${path} ${readFileSync(path, 'base64')}`).join('\n');
}

/** A release envelope that says something else, signed anew. */
function changed(
  text: string,
  { key }: typeof mira,
  change: (statement: { predicate: Record<string, unknown>; subject: unknown[] }) => void,
): string {
  const statement = JSON.parse(Buffer.from(JSON.parse(text).payload, 'base64').toString('utf8'));
  change(statement);
  const bytes = Buffer.from(JSON.stringify(statement));
  return sealEnvelope(inTotoPayloadType, bytes, key.privateKey, key.publicKey);
}

const failing = () =>
  sampleCondition({
    findings: [sampleFinding({ value: 3, verdict: 'fail', reason: 'above its limit' })],
  });

describe('a run of a lab', () => {
  it('is released from the signer’s computer, and verify proves it', async () => {
    const { folder, run, signed, lab } = await desk();
    const done = await signed('Mira', 'release');
    expect(done).toMatchObject({
      exitCode: 0,
      stdout: `${run}/signoffs/01-mira.release.dsse.json\n`,
    });
    expect(done.stderr).toContain('Alcove-6, build 1.4.2');
    const checked = await runCommand(verify, [folder, '--public', join(keys, 'Mira.pub.pem')]);
    expect(checked).toMatchObject({ exitCode: 0 });
    expect(checked.stdout).toContain('release by Mira');
    const found = await verifyAgainstLedger(folder, [mira.public], {
      ledger: ledgerOf(lab.lab.archive),
    });
    expect(found).toMatchObject({ accepted: true, problems: [] });
    expect(JSON.stringify(found.notes)).not.toContain('has no line');
  });

  it('is held', async () => {
    const { folder, signed } = await desk();
    expect(await signed('Mira', 'hold')).toMatchObject({ exitCode: 0 });
    const found = await verifyAgainstLedger(folder, [mira.public]);
    expect(found).toMatchObject({ accepted: false, decision: 'on hold', problems: [] });
  });

  it('is released with waivers, and not without', async () => {
    const { folder, signed } = await desk({
      ...{ specs: [sampleSpec('fade-on-time', [failing()], { verdict: 'fail' })], verdict: 'fail' },
    } as Parameters<typeof sealedRun>[1]);
    const refused = await signed('Mira', 'release');
    expect(refused).toMatchObject({ exitCode: 77 });
    expect(refused.stderr).toContain('still open: fade-on-time (fail)');
    const waived = ['--waive', 'fade-on-time', '--reason', 'known, mended in 1.4.3'];
    expect(await signed('Mira', 'release', ...waived)).toMatchObject({ exitCode: 0 });
    expect(await verifyAgainstLedger(folder, [mira.public])).toMatchObject({ accepted: true });
  });

  it('takes a second signature that binds the first', async () => {
    const { lab, id, folder, signed } = await desk();
    await signed('Mira', 'release');
    const second = await signed('Otto', 'release');
    expect(second.stdout).toContain('signoffs/02-otto.release.dsse.json');
    const found = await verifyAgainstLedger(folder, [mira.public, otto.public]);
    expect(found).toMatchObject({ accepted: true, problems: [] });
    expect(found.signoffs.map(({ file }) => file)).toEqual([
      'signoffs/01-mira.release.dsse.json',
      'signoffs/02-otto.release.dsse.json',
    ]);
    const entries = (await readLedger(ledgerOf(lab.lab.archive)))?.entries ?? [];
    expect(entries.filter(({ run }) => run === id).map(({ number }) => number)).toEqual([1, 2]);
  });

  it('is not fetched where a file of it was changed', async () => {
    const at = await desk();
    appendFileSync(join(at.folder, 'junit.xml'), '<!-- -->');
    const before = stateOf(at);
    // What was fetched of it goes again, also what is still on its way when the first file is refused.
    const own = scratch();
    vi.stubEnv('TMPDIR', own);
    const refused = await at.signed('Mira', 'release').finally(() => vi.unstubAllEnvs());
    expect(refused).toMatchObject({ exitCode: 65 });
    expect(refused.stderr).toContain('expected junit.xml of the digest');
    expect(readdirSync(own)).toEqual([]);
    expect(stateOf(at)).toBe(before);
  });
});

describe('a lab takes a sign-off', () => {
  it('once, though it comes twice', async () => {
    const at = await desk();
    const body = await at.made(mira);
    expect((await at.send(body)).status).toBe(200);
    const after = stateOf(at);
    expect((await at.send(body)).status).toBe(200);
    expect(stateOf(at)).toBe(after);
    expect(await verifyAgainstLedger(at.folder, [mira.public])).toMatchObject({ accepted: true });
  });

  it('not where somebody signed meanwhile, and stores nothing of it', async () => {
    const at = await desk();
    const body = await at.made(mira);
    expect((await at.send(await at.made(otto, { decision: 'hold' }))).status).toBe(200);
    const before = stateOf(at);
    const { status, said } = await at.send(body);
    expect(status).toBe(409);
    expect(said['refused']).toContain('somebody else has signed this run meanwhile');
    expect(stateOf(at)).toBe(before);
  });

  it('not where another run was decided on meanwhile: the ledger is another', async () => {
    const at = await desk();
    const body = await at.made(mira);
    const ledger = ledgerOf(at.lab.lab.archive);
    const other = await sealedRun(at.lab.lab.archive, { id: nextId() });
    await signRun(other, {
      ...{ key: otto.key, name: 'Otto', meaning: 'review', decision: 'hold', waivers: [] },
      ...{ signedAt: new Date().toISOString(), ledger },
    });
    const before = stateOf(at);
    const { status, said } = await at.send(body);
    expect(status).toBe(409);
    expect(said['refused']).toContain('another run meanwhile');
    expect(stateOf(at)).toBe(before);
  });

  it('not of another run', async () => {
    const at = await desk();
    const body = await at.made(mira);
    const other = await sealedRun(at.lab.lab.archive, { id: nextId() });
    const { status, said } = await at.send(body, basename(other));
    expect(status).toBe(422);
    expect(said['refused']).toContain('signs another run');
    expect(existsSync(join(other, 'signoffs'))).toBe(false);
  });
});

type Change = (body: SentSignoff) => SentSignoff;
const says = (change: Parameters<typeof changed>[2]): Change => {
  return ({ release, ...body }) => ({
    ...body,
    release: { ...release, text: changed(release.text, mira, change) },
  });
};
const named = (file: string): Change => {
  return ({ release, ...body }) => ({ ...body, release: { ...release, file } });
};

const forged: readonly (readonly [what: string, change: Change, why: string])[] = [
  [
    'whose signature another key made',
    (body) => ({ ...body, publicKey: otto.publicPem }),
    'signed with the key',
  ],
  [
    'whose content was changed after it was signed',
    ({ release, ...body }) => {
      const envelope = JSON.parse(release.text);
      const payload = Buffer.from(envelope.payload, 'base64').toString('utf8');
      const other = payload.replace('"meaning":"approval"', '"meaning":"a proof"');
      envelope.payload = Buffer.from(other).toString('base64');
      return { ...body, release: { ...release, text: `${JSON.stringify(envelope, null, 1)}\n` } };
    },
    'signature does not match',
  ],
  [
    'that says of the lamp what is not so',
    says(({ predicate }) => {
      predicate['lamp'] = { ...(predicate['lamp'] as object), build: '9.9' };
    }),
    'says of lamp',
  ],
  [
    'that is dated back',
    says(({ predicate }) => {
      predicate['signedAt'] = new Date(Date.now() - 3_600_000).toISOString();
    }),
    'set the clock',
  ],
  [
    'of nobody',
    says(({ predicate }) => {
      predicate['signer'] = { ...(predicate['signer'] as object), name: ' ' };
    }),
    'expected a name',
  ],
  [
    'that binds something else too',
    says(({ subject }) => {
      subject.push({ name: 'other', digest: { sha256: 'a'.repeat(64) } });
    }),
    'binds the run and every sign-off before it',
  ],
  [
    'with a path in its name',
    named('signoffs/../../elsewhere.release.dsse.json'),
    'expected the file of a sign-off',
  ],
  [
    'with a folder in its name',
    named('captures/01-mira.release.dsse.json'),
    'the file of a sign-off',
  ],
  [
    'with the number of another',
    named('signoffs/02-mira.release.dsse.json'),
    'expected the next sign-off to be signoffs/01-mira.release.dsse.json',
  ],
  [
    'with the name of another',
    named('signoffs/01-otto.release.dsse.json'),
    'expected the next sign-off to be',
  ],
  ['with lines of another ledger', (body) => ({ ...body, lines: '' }), 'the lines for the ledger'],
];

describe('a lab refuses a sign-off', () => {
  it.each(forged)('%s', async (_what, change, why) => {
    const at = await desk();
    const before = stateOf(at);
    const sound = await at.made(mira);
    const { status, said } = await at.send(change(sound));
    expect(said['refused']).toContain(why);
    expect(status).toBe(422);
    expect(stateOf(at)).toBe(before);
    expect((await at.send(sound)).status).toBe(200);
  });

  it('of a run that is not as it was stored', async () => {
    const at = await desk();
    const body = await at.made(mira);
    appendFileSync(join(at.folder, 'junit.xml'), '<!-- -->');
    const before = stateOf(at);
    const { status, said } = await at.send(body);
    expect(status).toBe(409);
    expect(said['refused']).toContain('junit.xml (altered)');
    expect(stateOf(at)).toBe(before);
  });

  it.each(['../reports', '%2e%2e%2freports', 'nothing-here', '/etc'])(
    'of what is no run: %s',
    async (name) => {
      const { lab, token, made } = await desk();
      const body = await made(mira);
      const path = `/api/runs/${encodeURIComponent(name)}`;
      expect((await lab.ask(token, 'POST', `${path}/sign-offs`, body)).status).toBe(404);
      expect((await lab.ask(token, 'GET', `${path}/files/manifest.json`)).status).toBe(404);
    },
  );

  it.each(['../decisions.ndjson', 'signoffs/../../x', 'captures/../run.json'])(
    'and hands out no file %s',
    async (file) => {
      const { lab, token, run } = await desk();
      const path = `/api/runs/${run}/files/${encodeURIComponent(file)}`;
      expect((await lab.ask(token, 'GET', path)).status).toBe(404);
    },
  );
});

describe('a lab with a policy', () => {
  const policyOf = (release = {}) =>
    writePolicy(keys, [{ name: 'Mira', file: 'Mira.pub.pem' }], release);

  it('takes the sign-off of somebody whom it admits, under its own text', async () => {
    const policy = policyOf();
    const { folder, signed } = await desk({}, 'policy');
    expect(await signed('Mira', 'release', '--policy', policy)).toMatchObject({ exitCode: 0 });
    const checked = await runCommand(verify, [folder, '--policy', policy]);
    expect(checked).toMatchObject({ exitCode: 0 });
  });

  it('asks for its file, and for no other', async () => {
    policyOf();
    const at = await desk({}, 'policy');
    const without = await at.signed('Mira', 'release');
    expect(without).toMatchObject({ exitCode: 64 });
    expect(without.stderr).toContain('Alcove-6 releases, version 3');
    const other = join(scratch(), 'other.policy.yaml');
    writeFileSync(other, readFileSync(policyOf(), 'utf8').replace('"version": 3', '"version": 4'));
    for (const file of ['Mira.pub.pem'])
      writeFileSync(join(other, '..', file), readFileSync(join(keys, file)));
    const under = await at.signed('Mira', 'release', '--policy', other);
    expect(under).toMatchObject({ exitCode: 77 });
    expect(under.stderr).toContain("get the lab's file");
    expect(existsSync(join(at.folder, 'signoffs'))).toBe(false);
  });

  it('refuses whom it does not know, and a release under no policy', async () => {
    policyOf();
    const at = await desk({}, 'policy');
    const before = stateOf(at);
    const stranger = await at.send(await at.made(otto, { decision: 'hold' }));
    expect(stranger.status).toBe(403);
    expect(stranger.said['refused']).toContain('is not in the policy');
    const unread = await at.send(await at.made(mira));
    expect(unread.status).toBe(403);
    expect(unread.said['refused']).toContain('signed under no policy');
    expect(stateOf(at)).toBe(before);
  });

  it('refuses a run that it does not let out', async () => {
    policyOf({ rig: { simulated: 'refuse' } });
    const at = await desk({}, 'policy');
    const before = stateOf(at);
    const { digest, name, version } = (await at.lab.lab.signOffs.runToSign(at.run)).policy ?? {
      ...{ digest: '', name: '', version: 0 },
    };
    const body = await at.made(mira, { policy: { digest, name, version } });
    const { status, said } = await at.send(body);
    expect(status).toBe(403);
    expect(said['refused']).toContain('refuses this run');
    expect(stateOf(at)).toBe(before);
  });
});
