import { createHash } from 'node:crypto';
import {
  copyFileSync,
  existsSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { register as runs } from '../../harness/cli/archive/runs.ts';
import { register as keys } from '../../harness/cli/release/keys.ts';
import { register as sign } from '../../harness/cli/release/sign.ts';
import { register as verify } from '../../harness/cli/release/verify.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { writePolicy } from '../archive/release-policy.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { passphrase, sealedRun } from '../archive/signed-run.ts';
import { sampleCondition, sampleFinding, sampleSpec } from '../record/sample-record.ts';
import { runCommand } from './run-command.ts';

const scratch = scratchFolders();
const env = { EVENFALL_PASSPHRASE: passphrase };

/** Made once: a passphrase is slow to try, on purpose. */
let keyFolder: string;
beforeAll(async () => {
  keyFolder = mkdtempSync(join(tmpdir(), 'evenfall-keys-'));
  for (const name of ['mira', 'otto']) {
    const made = await runCommand(keys, ['new', '--out', join(keyFolder, `${name}.pem`)], { env });
    expect(made).toMatchObject({ exitCode: 0, stdout: `${join(keyFolder, `${name}.pub.pem`)}\n` });
  }
});
afterAll(() => rmSync(keyFolder, { recursive: true, force: true }));

async function desk(over: Partial<RunRecord> = {}) {
  const root = scratch();
  const folder = await sealedRun(join(root, 'reports'), over);
  for (const name of ['mira', 'otto'])
    for (const file of [`${name}.pem`, `${name}.pub.pem`])
      copyFileSync(join(keyFolder, file), join(root, file));
  const signed = (name: string, ...more: string[]) =>
    runCommand(
      sign,
      [
        folder,
        '--key',
        join(root, `${name.toLowerCase()}.pem`),
        '--as',
        name,
        '--meaning',
        'approval of the release',
        '--decision',
        'release',
        ...more,
      ],
      { env, cwd: root },
    );
  const verified = (...more: string[]) => runCommand(verify, [folder, ...more]);
  const pub = (name: string) => join(root, `${name}.pub.pem`);
  return { root, folder, signed, verified, pub };
}

const failing = () =>
  sampleCondition({
    findings: [sampleFinding({ value: 3, verdict: 'fail', reason: 'above its limit' })],
  });

describe('keys new', () => {
  it('writes a private key that only its owner can read and that needs its passphrase', async () => {
    const { root } = await desk();
    const file = join(root, 'mira.pem');
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(readFileSync(file, 'utf8')).toContain('BEGIN ENCRYPTED PRIVATE KEY');
  });

  it('never overwrites a key', async () => {
    const { root } = await desk();
    const again = await runCommand(keys, ['new', '--out', join(root, 'mira.pem')], { env });
    expect(again.exitCode).toBe(73);
    expect(again.stderr).toContain('already exists and is not overwritten');
  });

  it('refuses a short passphrase', async () => {
    const short = { env: { EVENFALL_PASSPHRASE: 'short' } };
    const made = await runCommand(keys, ['new', '--out', join(scratch(), 'k.pem')], short);
    expect(made).toMatchObject({ exitCode: 64 });
    expect(made.stderr).toContain('at least 12 characters, found 5');
  });

  it('says what to do where there is neither a terminal nor a passphrase', async () => {
    const made = await runCommand(keys, ['new', '--out', join(scratch(), 'k.pem')]);
    expect(made.exitCode).toBe(64);
    expect(made.stderr).toContain('EVENFALL_PASSPHRASE');
  });
});

describe('sign and verify', () => {
  it('sign a run, show the decision in the list, and accept it with the public key', async () => {
    const { root, folder, signed, verified, pub } = await desk();
    await runCommand(runs, ['--reports', join(root, 'reports')]);
    const done = await signed('Mira');
    expect(done.exitCode).toBe(0);
    expect(existsSync(join(root, done.stdout.trim()))).toBe(true);
    expect(done.stderr).toContain('Alcove-6, build 1.4.2');
    const list = await runCommand(runs, ['--reports', join(root, 'reports')]);
    expect(list.stdout).toContain('signed: release');
    const checked = await verified('--public', pub('mira'));
    expect(checked.exitCode).toBe(0);
    expect(checked.stdout).toContain(`Released (simulated): run 3fa9c01b77de4a5c0b1d in ${folder}`);
    expect(checked.stdout).toContain('release by Mira');
  });

  it('refuse to release a run with a seeded fault, and name it wherever the run is decided on', async () => {
    const faults = [{ fault: 'linear-dimming', size: 1 }];
    const { signed, verified, pub } = await desk({ faults });
    const released = await signed('Mira');
    expect(released.exitCode).toBe(77);
    expect(released.stderr).toContain('; simulated; seeded fault linear-dimming (size 1)');
    expect(released.stderr).toContain('says nothing about the lamp; run again without the fault');
    expect((await signed('Mira', '--decision', 'hold')).exitCode).toBe(0);
    expect((await verified('--public', pub('mira'))).stdout).toContain(
      'On hold (simulated; seeded fault linear-dimming (size 1)): run',
    );
  });

  it('refuse a wrong passphrase, a public key in place of the private one, and a file that is no key', async () => {
    const { root, folder } = await desk();
    const attempt = (key: string, word: string) =>
      runCommand(
        sign,
        [folder, '--key', key, '--as', 'Mira', '--meaning', 'review', '--decision', 'hold'],
        { env: { EVENFALL_PASSPHRASE: word } },
      );
    expect(await attempt(join(root, 'mira.pem'), 'not the passphrase')).toMatchObject({
      exitCode: 77,
      stderr: expect.stringContaining('the passphrase does not open the key'),
    });
    expect(await attempt(join(root, 'mira.pub.pem'), passphrase)).toMatchObject({ exitCode: 77 });
    expect(await attempt(join(root, 'none.pem'), passphrase)).toMatchObject({ exitCode: 66 });
    expect(existsSync(join(folder, 'signoffs'))).toBe(false);
  });

  it('refuse to release a claim that failed, until it is waived with a reason', async () => {
    const { signed, verified, pub } = await desk({ specs: [sampleSpec('dims-deep', [failing()])] });
    const bare = await signed('Mira');
    expect(bare.exitCode).toBe(77);
    expect(bare.stderr).toContain('open: dims-deep (fail)');
    expect((await signed('Mira', '--waive', 'dims-deep')).exitCode).toBe(64);
    const unknown = await signed('Mira', '--waive', 'dims-dep', '--reason', 'x');
    expect(unknown.stderr).toContain('there is no claim dims-dep');
    const waived = await signed('Mira', '--waive', 'dims-deep', '--reason', 'known, see LUM-77');
    expect(waived.exitCode).toBe(0);
    const checked = await verified('--public', pub('mira'));
    expect(checked.stdout).toContain('waived dims-deep (fail): known, see LUM-77');
  });

  it('refuse without a key, without a signature, and after a change, with exit code 77', async () => {
    const { folder, signed, verified, pub } = await desk();
    expect(await verified('--public', pub('mira'))).toMatchObject({
      exitCode: 77,
      stdout: expect.stringContaining('signoffs: holds no sign-off'),
    });
    await signed('Mira');
    expect(await verified()).toMatchObject({
      exitCode: 77,
      stdout: expect.stringContaining('no public key given'),
    });
    expect((await verified('--public', pub('otto'))).exitCode).toBe(77);
    writeFileSync(join(folder, 'junit.xml'), '<testsuites>');
    const changed = await verified('--public', pub('mira'), '--json');
    expect(changed.exitCode).toBe(77);
    expect(JSON.parse(changed.stdout)).toMatchObject({
      version: 1,
      accepted: false,
      problems: [{ file: 'junit.xml', text: expect.stringContaining('was altered') }],
    });
    const again = await signed('Otto');
    expect(again.stderr).toContain('junit.xml (altered)');
  });
});

describe('a sign-off policy', () => {
  const write = (root: string, change?: (written: string) => string) =>
    writePolicy(
      root,
      [
        { name: 'Mira', file: 'mira.pub.pem', lamps: ['Alcove-6'], roles: ['test'] },
        { name: 'Otto', file: 'otto.pub.pem' },
      ],
      { signatures: { test: 1, quality: 1 }, 'no-self-approval': true },
      change,
    );

  it('asks for as many different people as it says', async () => {
    const { root, signed, verified } = await desk({ operator: 'Nele' });
    const policy = write(root);
    expect((await signed('Mira', '--policy', policy)).exitCode).toBe(0);
    expect((await signed('Mira', '--policy', policy)).exitCode).toBe(0);
    const one = await verified('--policy', policy);
    expect(one.exitCode).toBe(77);
    expect(one.stdout).toContain(
      'requires 2 signatures for release (1 test, 1 quality), found 1 (Mira (test)); missing: quality',
    );
    await signed('Otto', '--policy', policy);
    expect((await verified('--policy', policy)).exitCode).toBe(0);
  });

  it('forbids that the operator releases the run, however the name is written', async () => {
    const { root, folder, signed } = await desk({ operator: ' mira ' });
    const policy = write(root);
    const own = await signed('Mira', '--policy', policy);
    expect(own.exitCode).toBe(77);
    expect(own.stderr).toContain('forbids self-approval');
    expect(existsSync(join(folder, 'signoffs'))).toBe(false);
  });

  it('cannot rule out self-approval where the record names no operator', async () => {
    const { root, signed } = await desk();
    const policy = write(root);
    const attempt = await signed('Mira', '--policy', policy);
    expect(attempt.stderr).toContain('does not name the operator');
  });

  it('forbids a key under another name, and a lamp that is not on the list', async () => {
    const { root, signed } = await desk({ operator: 'Nele' });
    const policy = write(root, (text) => text.replace('"Alcove-6"', '"Nook-2"'));
    expect((await signed('Mira', '--policy', policy)).stderr).toContain(
      'Mira may decide on Nook-2, not on Alcove-6',
    );
    write(root, (text) => text.replace('"Mira"', '"Nele"'));
    expect((await signed('Mira', '--policy', policy)).stderr).toContain('gives this key to Nele');
  });

  it('counts a hold against the release, and the last word of each person', async () => {
    const { root, signed, verified } = await desk({ operator: 'Nele' });
    const policy = write(root);
    await signed('Mira', '--policy', policy);
    await signed('Otto', '--decision', 'hold');
    expect((await verified('--policy', policy)).stdout).toContain('Otto decided hold');
    await signed('Otto', '--policy', policy);
    expect((await verified('--policy', policy)).exitCode).toBe(0);
  });

  it('refuses to sign what it would refuse to verify, in a sentence each, and lets nobody wait for it', async () => {
    const { root, folder, signed } = await desk({
      operator: 'Nele',
      startedAt: '2026-03-04T05:06:07Z',
    });
    const people = [{ name: 'Mira', file: 'mira.pub.pem' }];
    const policy = writePolicy(root, people, {
      ...{ rig: {}, lamp: {}, 'oldest-run': '1 h' },
      passed: { requirements: ['LUM-001'], tags: { release: 40 } },
    });
    const refused = await signed('Mira', '--policy', policy);
    expect(refused.exitCode).toBe(77);
    for (const text of [
      'not signed: the policy Alcove-6 releases, version 3, refuses this run:',
      'demanded: a real rig; found: the rig simulated',
      'demanded: that the lamp itself reports its build 1.4.2; found: it said nothing of it',
      'demanded: requirement LUM-001 proved by claims that pass; found: no claim that traces it',
      'demanded: 40 claims or more with the tag release, all of them passed; found: 0 passed',
      'demanded: a run no older than 0 days; found: one of',
    ])
      expect(refused.stderr).toContain(text);
    expect(existsSync(join(folder, 'signoffs'))).toBe(false);
    const hold = await signed('Mira', '--policy', policy, '--decision', 'hold');
    expect(hold.exitCode).toBe(0);
  });

  it('writes its name, version and digest into what is signed', async () => {
    const { root, signed, verified } = await desk({ operator: 'Nele' });
    const policy = write(root);
    await signed('Mira', '--policy', policy);
    const told = JSON.parse((await verified('--policy', policy, '--json')).stdout);
    const digest = createHash('sha256').update(readFileSync(policy)).digest('hex');
    expect(told.signoffs[0].predicate.policy).toEqual({
      ...{ name: 'Alcove-6 releases', version: 3, digest },
    });
  });

  it('does not take another key for the one that it names', async () => {
    const { root, signed } = await desk({ operator: 'Nele' });
    const policy = write(root);
    copyFileSync(join(root, 'otto.pub.pem'), join(root, 'mira.pub.pem'));
    const swapped = await signed('Otto', '--policy', policy);
    expect(swapped.exitCode).toBe(77);
    expect(swapped.stderr).toMatch(/mira\.pub\.pem: expected the key .* of the policy/);
  });

  it('is refused with the place of every mistake', async () => {
    const { root, verified } = await desk();
    const policy = write(root, (text) =>
      text
        .replace('"signatures"', '"signature"')
        .replace('"quality": 1', '"quality": 2')
        .replace('"2026-01-01"', '"2026-02-30"'),
    );
    const checked = await verified('--policy', policy);
    expect(checked.exitCode).toBe(65);
    expect(checked.stderr).toMatch(
      /release\.policy\.yaml:\d+:\d+: release\.signature: unknown key/,
    );
    expect(checked.stderr).toContain('valid-from: expected a day as YYYY-MM-DD');
  });

  it('of an earlier version of Evenfall is told what to change', async () => {
    const { root, verified } = await desk();
    const policy = join(root, 'old.policy.yaml');
    writeFileSync(
      policy,
      'policy: x\nsigners:\n  - { name: Mira, key: mira.pub.pem }\nrelease: { signatures: 2, no-self-approval: true }\n',
    );
    const checked = await verified('--policy', policy);
    expect(checked.exitCode).toBe(65);
    expect(checked.stderr).toMatch(
      /old\.policy\.yaml:2:1: signers: expected a policy with version/,
    );
    expect(checked.stderr).toContain('{ quality: 2 } in place of 2');
  });
});
