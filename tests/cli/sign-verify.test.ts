import { existsSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { register as runs } from '../../harness/cli/archive/runs.ts';
import { register as keys } from '../../harness/cli/release/keys.ts';
import { register as sign } from '../../harness/cli/release/sign.ts';
import { register as verify } from '../../harness/cli/release/verify.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { passphrase, sealedRun } from '../archive/signed-run.ts';
import { sampleCondition, sampleFinding, sampleSpec } from '../record/sample-record.ts';
import { runCommand } from './run-command.ts';

const scratch = scratchFolders();
const env = { EVENFALL_PASSPHRASE: passphrase };

async function desk(over: Partial<RunRecord> = {}) {
  const root = scratch();
  const folder = await sealedRun(join(root, 'reports'), over);
  for (const name of ['mira', 'otto']) {
    const made = await runCommand(keys, ['new', '--out', join(root, `${name}.pem`)], { env });
    expect(made).toMatchObject({ exitCode: 0, stdout: `${join(root, `${name}.pub.pem`)}\n` });
  }
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
    expect(made.stderr).toContain('at least 10 characters, found 5');
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
    expect(checked.stdout).toContain(`Accepted: run 3fa9c01b77de4a5c0b1d in ${folder}`);
    expect(checked.stdout).toContain('release by Mira');
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
  const policyText = `policy: Alcove-6 releases
signers:
  - { name: Mira, key: mira.pub.pem, lamps: [Alcove-6] }
  - { name: Otto, key: otto.pub.pem }
release: { signatures: 2, no-self-approval: true }
`;

  it('asks for as many different people as it says', async () => {
    const { root, signed, verified } = await desk({ operator: 'Nele' });
    const policy = join(root, 'policy.yaml');
    writeFileSync(policy, policyText);
    expect((await signed('Mira', '--policy', policy)).exitCode).toBe(0);
    expect((await signed('Mira', '--policy', policy)).exitCode).toBe(0);
    const one = await verified('--policy', policy);
    expect(one.exitCode).toBe(77);
    expect(one.stdout).toContain('requires 2 signatures for release, found 1');
    await signed('Otto', '--policy', policy);
    expect((await verified('--policy', policy)).exitCode).toBe(0);
  });

  it('forbids that the operator releases the run, however the name is written', async () => {
    const { root, folder, signed } = await desk({ operator: ' mira ' });
    writeFileSync(join(root, 'policy.yaml'), policyText);
    const own = await signed('Mira', '--policy', join(root, 'policy.yaml'));
    expect(own.exitCode).toBe(77);
    expect(own.stderr).toContain('forbids self-approval');
    expect(existsSync(join(folder, 'signoffs'))).toBe(false);
  });

  it('cannot rule out self-approval where the record names no operator', async () => {
    const { root, signed } = await desk();
    writeFileSync(join(root, 'policy.yaml'), policyText);
    const attempt = await signed('Mira', '--policy', join(root, 'policy.yaml'));
    expect(attempt.stderr).toContain('does not name the operator');
  });

  it('forbids a key under another name, and a lamp that is not on the list', async () => {
    const { root, signed } = await desk({ operator: 'Nele' });
    const policy = join(root, 'policy.yaml');
    writeFileSync(policy, policyText.replace('[Alcove-6]', '[Nook-2]'));
    expect((await signed('Mira', '--policy', policy)).stderr).toContain(
      'Mira may decide on Nook-2, not on Alcove-6',
    );
    writeFileSync(policy, policyText.replace('name: Mira', 'name: Nele'));
    expect((await signed('Mira', '--policy', policy)).stderr).toContain('gives this key to Nele');
  });

  it('counts a hold against the release, and the last word of each person', async () => {
    const { root, signed, verified } = await desk({ operator: 'Nele' });
    const policy = join(root, 'policy.yaml');
    writeFileSync(policy, policyText);
    await signed('Mira');
    await signed('Otto', '--decision', 'hold');
    expect((await verified('--policy', policy)).stdout).toContain('Otto decided hold');
    await signed('Otto');
    expect((await verified('--policy', policy)).exitCode).toBe(0);
  });

  it('is refused with the place of every mistake', async () => {
    const { root, verified } = await desk();
    const policy = join(root, 'policy.yaml');
    writeFileSync(policy, policyText.replace('signatures: 2', 'signature: 2'));
    const checked = await verified('--policy', policy);
    expect(checked.exitCode).toBe(65);
    expect(checked.stderr).toMatch(/policy\.yaml:5:\d+/);
    expect(checked.stderr).toContain('signatures');
  });
});
