import { readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { inTotoPayloadType, sealEnvelope } from '../../../harness/archive/dsse.ts';
import { sha256, sha256File } from '../../../harness/archive/manifest.ts';
import type { Policy } from '../../../harness/archive/policy.ts';
import { signRun } from '../../../harness/archive/sign-run.ts';
import type { ReleaseStatement } from '../../../harness/archive/statement.ts';
import { verifyRun } from '../../../harness/archive/verify-run.ts';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { policyFor, referenceTo } from '../release-policy.ts';
import { scratchFolders } from '../scratch.ts';
import { newPerson, signedRun } from '../signed-run.ts';

const scratch = scratchFolders();
type Person = ReturnType<typeof newPerson>;
/** Mutable, as an attacker has them; a test result has claims by name. */
type Statement = ReleaseStatement & { predicate: { passedTests?: string[] } };

function statementOf(path: string): Statement {
  return JSON.parse(
    Buffer.from(JSON.parse(readFileSync(path, 'utf8')).payload, 'base64').toString(),
  );
}

/** Signs another statement in the place of the one that is there, with a key that is trusted. */
function resign(path: string, person: Person, change: (statement: Statement) => void): void {
  const statement = statementOf(path);
  change(statement);
  const body = new TextEncoder().encode(JSON.stringify(statement));
  const { privateKey, publicKey } = person.key;
  writeFileSync(path, sealEnvelope(inTotoPayloadType, body, privateKey, publicKey));
}

/** The envelope that a release statement rests on has the digest that the statement names. */
const resultOf = (path: string): string => path.replace('.release.', '.test-result.');

describe('a signer who is trusted and says what is not so', () => {
  const lies: readonly [string, (statement: Statement) => void, RegExp][] = [
    [
      'another name of the key',
      (s) => (s.predicate.signer.key = 'f'.repeat(64)),
      /names the key f+…, but was signed with/,
    ],
    [
      'another verdict',
      (s) => (s.predicate.verdict = 'fail'),
      /says of verdict fail, but run.json says pass/,
    ],
    ['other totals', (s) => (s.predicate.claims['pass'] = 99), /says of claims .*99/],
    ['another build', (s) => (s.predicate.lamp.build = '9.9.9'), /says of lamp .*9\.9\.9/],
    ['another serial', (s) => (s.predicate.lamp.serial = 'X'), /says of lamp/],
    ['a real rig', (s) => (s.predicate.rig.simulated = !s.predicate.rig.simulated), /says of rig/],
    ['a seeded fault', (s) => (s.predicate.faults = [{ fault: 'x', size: 1 }]), /says of faults/],
    ['a kinder rule', (s) => (s.predicate.decisionRule.rule = 'simple'), /says of decisionRule/],
    ['another run', (s) => (s.predicate.run.id = '0'.repeat(20)), /signs another run/],
    ['another end', (s) => (s.predicate.run.endedAt = '2020-01-01T00:00:00Z'), /says of run /],
    [
      'no manifest',
      (s) => (s.subject = s.subject.filter((one) => one.name !== 'manifest.json')),
      /binds no manifest\.json/,
    ],
    [
      'another manifest',
      (s) => (s.subject[0]!.digest.sha256 = '0'.repeat(64)),
      /was changed after the run was signed|binds another manifest/,
    ],
    ['no time', (s) => (s.predicate.signedAt = 'yesterday'), /which is no time/],
    [
      'a time before the run',
      (s) => (s.predicate.signedAt = '1999-01-01T00:00:00Z'),
      /before the run began/,
    ],
    ['a time to come', (s) => (s.predicate.signedAt = '2999-01-01T00:00:00Z'), /in the future/],
    [
      'a waiver of nothing',
      (s) => s.predicate.waivers.push({ claim: 'nothing', verdict: 'fail', reason: 'x' }),
      /no claim of this run/,
    ],
    [
      'a waiver of another verdict',
      (s) => s.predicate.waivers.push({ claim: 'fade-on-time', verdict: 'fail', reason: 'x' }),
      /but run\.json says pass/,
    ],
    [
      'more than a statement has',
      (s) => Object.assign(s.predicate, { extra: 1 }),
      /holds no release statement/,
    ],
  ];

  it.each(lies)('is refused: %s', async (_, change, told) => {
    const { folder, mira, path } = await signedRun(scratch());
    resign(path, mira, change);
    const verified = await verifyRun(folder, [mira.public]);
    expect(verified).toMatchObject({ accepted: false, decision: 'refused' });
    expect(verified.problems.map(({ text }) => text).join('\n')).toMatch(told);
  });

  it('is believed where the statement says what is so', async () => {
    const { folder, mira, path } = await signedRun(scratch());
    resign(path, mira, () => {});
    expect(await verifyRun(folder, [mira.public])).toMatchObject({ decision: 'released' });
  });

  it('is refused: a test result that says more than the run', async () => {
    const { folder, mira, path } = await signedRun(scratch());
    const result = resultOf(path);
    resign(result, mira, (s) => s.predicate.passedTests?.push('dims-to-a-thousandth'));
    resign(path, mira, (s) => {
      const own = s.subject.find((one) => one.name.includes('test-result'));
      own!.digest.sha256 = sha256(readFileSync(result));
    });
    const { problems } = await verifyRun(folder, [mira.public]);
    expect(problems).toEqual([
      expect.objectContaining({
        text: expect.stringContaining('what run.json says of its claims'),
      }),
    ]);
  });
});

/** Changes the record, seals the folder anew, and lets a trusted person sign what lies there then. */
async function forged(change: (record: RunRecord) => void) {
  const { folder, mira } = await signedRun(scratch());
  rmSync(join(folder, 'signoffs'), { recursive: true });
  const path = join(folder, 'run.json');
  const record = JSON.parse(readFileSync(path, 'utf8'));
  change(record);
  writeFileSync(path, JSON.stringify(record));
  await reseal(folder);
  await signRun(folder, {
    ...{ key: mira.key, name: 'Mira', meaning: 'approval', decision: 'release', waivers: [] },
    signedAt: '2026-03-05T08:00:00Z',
  });
  return verifyRun(folder, [mira.public]);
}

async function reseal(folder: string): Promise<void> {
  const path = join(folder, 'manifest.json');
  const manifest = JSON.parse(readFileSync(path, 'utf8'));
  for (const stored of manifest.files) {
    const file = join(folder, stored.file);
    stored.bytes = readFileSync(file).length;
    stored.sha256 = await sha256File(file);
  }
  writeFileSync(path, JSON.stringify(manifest));
}

const simulatedInstrument = {
  ...{ name: 'scope', driver: 'plant', simulated: true, calibration: null },
  identity: { maker: 'Evenfall', model: 'simulated scope', serial: '1', firmware: '0.1.0' },
};

const firstFinding = (record: RunRecord) => record.specs[0]!.conditions[0]!.findings[0]!;

describe('a record that does not follow from its own figures, sealed and signed by a trusted person', () => {
  it.each<[string, (record: RunRecord) => void, RegExp]>([
    [
      'a finding that passes outside its limits',
      (record) => Object.assign(firstFinding(record).outcome, { value: 1e6 }),
      /passes, but its figures say fail/,
    ],
    [
      'a finding that passes and was not measured',
      (record) =>
        Object.assign(firstFinding(record), { outcome: { measured: false, reason: 'dark' } }),
      /passes, but was not measured/,
    ],
    [
      'a claim that passes over a finding that fails',
      (record) => {
        firstFinding(record).verdict = 'fail';
        record.totals.findings = { ...record.totals.findings, pass: 0, fail: 1 };
      },
      /the condition .* says pass, but its parts say fail/,
    ],
    [
      'totals that nobody counted',
      (record) => Object.assign(record.totals.claims, { pass: 12 }),
      /the totals say 12 claims of pass, but there are 1/,
    ],
    [
      'a claim that was measured and says that it does not apply',
      (record) => {
        record.specs[0]!.verdict = 'not applicable';
        record.totals.claims = { ...record.totals.claims, pass: 0, 'not applicable': 1 };
      },
      /the claim fade-on-time says not applicable, but its parts say pass/,
    ],
    [
      'a claim without conditions that passes',
      (record) => Object.assign(record.specs[0]!, { conditions: [] }),
      /the claim fade-on-time says pass, but its parts say not run/,
    ],
    [
      'a real rig of simulated instruments',
      (record) => {
        record.rig.simulated = false;
        record.rig.instruments = [simulatedInstrument];
      },
      /says it is real, but all its instruments are simulated/,
    ],
    [
      'a release over a seeded fault',
      (record) => record.faults.push({ fault: 'linear-dimming', size: 1 }),
      /a run with a seeded fault: linear-dimming \(size 1\)/,
    ],
    ['a newer version', (record) => Object.assign(record, { version: 99 }), /version 99.*newer/],
  ])('is refused: %s', async (_, change, told) => {
    const verified = await forged(change).catch((error: Error) => error);
    const text =
      verified instanceof Error
        ? verified.message
        : verified.problems.map((problem) => problem.text).join('\n');
    expect(text).toMatch(told);
    if (!(verified instanceof Error)) expect(verified.decision).toBe('refused');
  });
});

describe('two persons', () => {
  const word = (
    folder: string,
    person: Person,
    decision: 'release' | 'hold' | 'reject',
    policy?: Policy,
  ) =>
    signRun(folder, {
      ...{ key: person.key, name: person.name, meaning: 'approval', decision, waivers: [] },
      ...{ signedAt: '2026-03-05T09:00:00Z', policy: policy ? referenceTo(policy) : null },
    });

  it('both have to sign the run that lies there: not one before and one after a change', async () => {
    const { folder, mira } = await signedRun(scratch());
    const otto = newPerson('Otto');
    const path = join(folder, 'junit.xml');
    writeFileSync(path, '<testsuites><testsuite/></testsuites>\n');
    await reseal(folder);
    await word(folder, otto, 'release');
    const verified = await verifyRun(folder, [mira.public, otto.public]);
    expect(verified.decision).toBe('refused');
    expect(verified.problems).toContainEqual({
      file: expect.stringContaining('mira.release'),
      text: expect.stringContaining('binds another manifest.json'),
    });
  });

  it('who disagree do not release: the rejection stands', async () => {
    const { folder, mira } = await signedRun(scratch());
    const otto = newPerson('Otto');
    await word(folder, otto, 'reject');
    const keys = [mira.public, otto.public];
    expect(await verifyRun(folder, keys)).toMatchObject({ decision: 'rejected', accepted: false });
    await word(folder, otto, 'release');
    expect(await verifyRun(folder, keys)).toMatchObject({ decision: 'released', accepted: true });
    await word(folder, mira, 'hold');
    expect(await verifyRun(folder, keys)).toMatchObject({ decision: 'on hold', accepted: false });
  });

  it('cannot speak for one another: a rejection is taken back by its own key alone', async () => {
    const { folder, mira } = await signedRun(scratch());
    const otto = newPerson('Otto');
    await word(folder, mira, 'reject');
    await word(folder, { ...otto, name: 'Mira' }, 'release');
    const keys = [mira.public, otto.public];
    expect(await verifyRun(folder, keys)).toMatchObject({ decision: 'rejected', accepted: false });
    const policy = policyFor([mira]);
    expect(await verifyRun(folder, keys, policy)).toMatchObject({
      decision: 'rejected',
      unmet: expect.arrayContaining([expect.stringMatching(/is not in the policy/)]),
    });
  });

  it.each(['Mira', ' mira', 'М\u0456ra', 'Mi\u200bra', 'ＭＩＲＡ'])(
    'are one where the names look the same: %j',
    async (name) => {
      const { folder, mira } = await signedRun(scratch());
      const second = { ...newPerson(name), name };
      const policy = policyFor([mira, second], { signatures: { quality: 2 } });
      await word(folder, mira, 'release', policy);
      await word(folder, second, 'release', policy);
      const verified = await verifyRun(folder, [mira.public, second.public], policy);
      expect(verified.decision).toBe('undecided');
      expect(verified.unmet.join()).toMatch(
        /requires 2 signatures for release \(2 quality\), found 1/,
      );
    },
  );

  it('leave no gap: a sign-off that is renamed or moved is told', async () => {
    const { folder, mira } = await signedRun(scratch());
    await word(folder, mira, 'release');
    const [first = ''] = readdirSync(join(folder, 'signoffs')).filter((name) =>
      name.includes('01-'),
    );
    renameSync(
      join(folder, 'signoffs', first),
      join(folder, 'signoffs', first.replace('01-', '09-')),
    );
    expect((await verifyRun(folder, [mira.public])).decision).toBe('refused');
  });
});
