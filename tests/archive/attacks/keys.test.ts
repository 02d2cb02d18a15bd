import { execFileSync, spawnSync } from 'node:child_process';
import { createPrivateKey } from 'node:crypto';
import {
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { protectionOf } from '../../../harness/archive/encrypted-key.ts';
import { readSigningKey } from '../../../harness/archive/signing-key.ts';
import { register as keys } from '../../../harness/cli/release/keys.ts';
import { register as sign } from '../../../harness/cli/release/sign.ts';
import { evenfall } from '../../cli/program.ts';
import { runCommand } from '../../cli/run-command.ts';
import { scratchFolders } from '../scratch.ts';
import { newPerson, passphrase, sealedRun } from '../signed-run.ts';

const scratch = scratchFolders();
const hasOpenssl = spawnSync('openssl', ['version']).status === 0;
const other = 'kettle orbit maple';

/** As keys were written before: by Node, with 2,048 rounds. */
function weakPem(): string {
  const { key } = newPerson('Mira');
  return String(
    key.privateKey.export({ type: 'pkcs8', format: 'pem', cipher: 'aes-256-cbc', passphrase }),
  );
}

async function newKeyFile(word = passphrase) {
  const file = join(scratch(), 'mira.pem');
  const made = await runCommand(keys, ['new', '--out', file], {
    env: { EVENFALL_PASSPHRASE: word },
  });
  return { file, made };
}

async function signWith(file: string, ...more: string[]) {
  const folder = await sealedRun(scratch());
  const asked = ['--key', file, '--as', 'Mira', '--meaning', 'x', '--decision', 'release'];
  return runCommand(sign, [folder, ...asked, ...more], {
    env: { EVENFALL_PASSPHRASE: passphrase },
  });
}

describe('a private key file', () => {
  it('costs a guesser 600,000 rounds for each guess', async () => {
    const { file } = await newKeyFile();
    const pem = readFileSync(file, 'utf8');
    expect(protectionOf(pem)).toEqual({ encrypted: true, weakness: null });
    expect(readSigningKey(pem, passphrase).ok).toBe(true);
    expect(readSigningKey(pem, `${passphrase}.`).ok).toBe(false);
  });

  it.skipIf(!hasOpenssl)('is read by openssl (skipped where it is not installed)', async () => {
    const { file } = await newKeyFile();
    const openssl = (...args: string[]) => execFileSync('openssl', args, { encoding: 'utf8' });
    expect(openssl('asn1parse', '-in', file)).toMatch(
      /PBES2[\s\S]*PBKDF2[\s\S]*INTEGER +:0927C0\n[\s\S]*hmacWithSHA256[\s\S]*aes-256-cbc/,
    );
    const shown = openssl('pkey', '-in', file, '-passin', `pass:${passphrase}`, '-pubout');
    expect(shown).toBe(readFileSync(file.replace('.pem', '.pub.pem'), 'utf8'));
  });

  it.skipIf(!hasOpenssl)(
    'of openssl is judged by its cost (skipped where openssl is not installed)',
    () => {
      const plain = join(scratch(), 'k.pem');
      execFileSync('openssl', ['genpkey', '-algorithm', 'ed25519', '-out', plain]);
      const protect = (...how: string[]) => {
        const args = ['pkcs8', '-topk8', '-in', plain, '-passout', `pass:${passphrase}`, ...how];
        return protectionOf(execFileSync('openssl', args, { encoding: 'utf8' }));
      };
      expect(protectionOf(readFileSync(plain, 'utf8'))).toEqual({ encrypted: false });
      const sound = { encrypted: true, weakness: null };
      expect(protect('-v2prf', 'hmacWithSHA512', '-iter', '210000')).toEqual(sound);
      expect(protect('-v2prf', 'hmacWithSHA256', '-iter', '600000')).toEqual(sound);
      expect(protect('-v2prf', 'hmacWithSHA1', '-iter', '1300000')).toEqual(sound);
      const weak = (pattern: RegExp) => ({
        encrypted: true,
        weakness: expect.stringMatching(pattern),
      });
      expect(protect('-v2prf', 'hmacWithSHA512', '-iter', '209999')).toEqual(
        weak(/209999 rounds.*210000/),
      );
      expect(protect('-v2prf', 'hmacWithSHA1', '-iter', '600000')).toEqual(
        weak(/600000 rounds.*1300000/),
      );
      expect(protect()).toEqual(weak(/2048 rounds.*600000/));
      expect(protect('-scrypt')).toEqual(weak(/scrypt with N = 16384 and r = 8/));
    },
  );

  it('of earlier versions is read, with a note that says how to mend it', async () => {
    const file = join(scratch(), 'mira.pem');
    writeFileSync(file, weakPem(), { mode: 0o600 });
    const signed = await signWith(file);
    expect(signed.exitCode).toBe(0);
    expect(signed.stderr).toContain(
      `note: ${file}: its passphrase is stretched by 2048 rounds of PBKDF2; 600000 are recommended today; evenfall keys passphrase ${file}`,
    );
    expect((await newKeyFile()).made.stderr).not.toContain('note');
  });

  it.each(['0640', '0604', '0620', '0777'])(
    'is refused where others may read or write it: %s',
    async (mode) => {
      const { file } = await newKeyFile();
      chmodSync(file, Number.parseInt(mode, 8));
      const signed = await signWith(file);
      expect(signed.exitCode).toBe(77);
      expect(signed.stderr).toContain(
        `expected a private key that its owner alone can read (0600), found ${file} with ${mode}: run chmod 600 ${file}`,
      );
    },
  );

  it.each(['0600', '0400'])('is taken with the mode %s', async (mode) => {
    const { file } = await newKeyFile();
    chmodSync(file, Number.parseInt(mode, 8));
    expect((await signWith(file)).exitCode).toBe(0);
  });

  it('without encryption is refused, unless its owner says otherwise', async () => {
    const file = join(scratch(), 'mira.pem');
    const pem = newPerson('Mira').key.privateKey.export({ type: 'pkcs8', format: 'pem' });
    writeFileSync(file, pem, { mode: 0o600 });
    const refused = await signWith(file);
    expect(refused.exitCode).toBe(77);
    expect(refused.stderr).toMatch(
      /is not encrypted: .*evenfall keys passphrase FILE.*--unencrypted-key/,
    );
    const allowed = await signWith(file, '--unencrypted-key');
    expect(allowed.exitCode).toBe(0);
    expect(allowed.stderr).toContain('it is not encrypted');
  });

  describe('as it is made', () => {
    const before = process.umask();
    afterEach(() => void process.umask(before));

    it('is for its owner alone, whatever the umask', async () => {
      process.umask(0);
      const { file } = await newKeyFile();
      expect(statSync(file).mode & 0o777).toBe(0o600);
      expect(statSync(file.replace('.pem', '.pub.pem')).mode & 0o777).toBe(0o644);
    });

    it('is never written through a link, nor over what lies there', async () => {
      const folder = scratch();
      const victim = join(folder, 'victim');
      const link = join(folder, 'link.pem');
      symlinkSync(victim, link);
      const env = { EVENFALL_PASSPHRASE: passphrase };
      const made = await runCommand(keys, ['new', '--out', link], { env });
      expect(made).toMatchObject({
        exitCode: 73,
        stderr: expect.stringContaining('not overwritten'),
      });
      expect(existsSync(victim)).toBe(false);
    });

    it('comes with its public half, or not at all', async () => {
      const folder = scratch();
      mkdirSync(join(folder, 'mira.pub.pem'));
      const env = { EVENFALL_PASSPHRASE: passphrase };
      const made = await runCommand(keys, ['new', '--out', join(folder, 'mira.pem')], { env });
      expect(made.exitCode).toBe(73);
      expect(readdirSync(folder)).toEqual(['mira.pub.pem']);
    });
  });
});

describe('a passphrase', () => {
  it.each([
    ['is short', 'eleven-long', /at least 12 characters, found 11/],
    ['is one character over and over', 'aaaaaaaaaaaaaaaa', /found one of about 10\^\d guesses/],
    ['is one piece over and over', 'abcabcabcabcabc', /about 10\^/],
    ['is a row of the alphabet', 'abcdefghijklmno', /about 10\^/],
    ['is a row of digits', '123456789012345', /about 10\^/],
    ['is a row of the keyboard', 'qwertyuiop[]', /about 10\^/],
    ['is a common one with digits behind it', 'password12345', /about 10\^/],
    ['is the name of the key, some times', 'mira mira mira', /about 10\^/],
    [
      'has a character that nobody can type',
      'kettle orbit\u200bmaple',
      /found the character U\+200B/,
    ],
  ])('is refused where it %s', async (_, word, told) => {
    const { file, made } = await newKeyFile(word);
    expect(made.exitCode).toBe(64);
    expect(made.stderr).toMatch(told);
    expect(existsSync(file)).toBe(false);
  });

  it.each([other, 'gj4Kd92mZpQx', 'ein Kessel und drei Ahörner'])('will do: %s', async (word) => {
    const { file, made } = await newKeyFile(word);
    expect(made.exitCode).toBe(0);
    expect(readSigningKey(readFileSync(file, 'utf8'), word).ok).toBe(true);
  });
});

describe('keys passphrase', () => {
  const change = (file: string, old: string, fresh: string) =>
    runCommand(keys, ['passphrase', file], {
      env: { EVENFALL_PASSPHRASE: old, EVENFALL_NEW_PASSPHRASE: fresh },
    });

  it('encrypts the same key anew, at what it costs today', async () => {
    const file = join(scratch(), 'mira.pem');
    writeFileSync(file, weakPem(), { mode: 0o600 });
    const raw = (word: string) =>
      createPrivateKey({ key: readFileSync(file, 'utf8'), passphrase: word }).export({
        type: 'pkcs8',
        format: 'pem',
      });
    const before = raw(passphrase);
    expect((await change(file, passphrase, other)).exitCode).toBe(0);
    expect(raw(other)).toBe(before);
    expect(() => raw(passphrase)).toThrow();
    expect(protectionOf(readFileSync(file, 'utf8'))).toEqual({ encrypted: true, weakness: null });
    expect(statSync(file).mode & 0o777).toBe(0o600);
    expect(readdirSync(join(file, '..'))).toEqual(['mira.pem']);
  });

  it('changes nothing where the old one is wrong, or the new one too weak', async () => {
    const { file } = await newKeyFile();
    const before = readFileSync(file, 'utf8');
    expect(await change(file, 'not the passphrase', other)).toMatchObject({ exitCode: 77 });
    expect(await change(file, passphrase, 'aaaaaaaaaaaa')).toMatchObject({ exitCode: 64 });
    expect(readFileSync(file, 'utf8')).toBe(before);
  });

  it('encrypts a key that was not', async () => {
    const file = join(scratch(), 'mira.pem');
    const pem = newPerson('Mira').key.privateKey.export({ type: 'pkcs8', format: 'pem' });
    writeFileSync(file, pem, { mode: 0o600 });
    expect((await change(file, '', other)).exitCode).toBe(0);
    expect(readSigningKey(readFileSync(file, 'utf8'), other).ok).toBe(true);
  });

  it('writes to the file that a link means', async () => {
    const { file } = await newKeyFile();
    const link = join(scratch(), 'link.pem');
    symlinkSync(file, link);
    expect((await change(link, passphrase, other)).exitCode).toBe(0);
    expect(readSigningKey(readFileSync(file, 'utf8'), other).ok).toBe(true);
  });
});

describe('the program as it is built', () => {
  it('makes a key, and refuses a weak passphrase', async () => {
    const cwd = scratch();
    const made = (word: string, file: string) =>
      evenfall(['keys', 'new', '--out', file], { cwd, env: { EVENFALL_PASSPHRASE: word } });
    expect(await made('password12345', 'weak.pem')).toMatchObject({
      exitCode: 64,
      stderr: expect.stringMatching(/found one of about 10\^\d guesses/),
    });
    expect(await made(other, 'mira.pem')).toMatchObject({ exitCode: 0, stdout: 'mira.pub.pem\n' });
    expect(readdirSync(cwd).sort()).toEqual(['mira.pem', 'mira.pub.pem']);
  });
});
