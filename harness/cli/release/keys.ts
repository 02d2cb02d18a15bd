import { userInfo } from 'node:os';
import { basename } from 'node:path';
import type { Command } from 'commander';
import { encryptedPem } from '../../archive/encrypted-key.ts';
import { weakPassphrase } from '../../archive/passphrase.ts';
import { newSigningKey } from '../../archive/signing-key.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { openKey, readKeyFile } from '../../workflow/signing/read-keys.ts';
import { replaceKey, writeKeyPair } from '../../workflow/signing/write-keys.ts';
import type { Io } from '../common/io.ts';
import { askNewPassphrase, askOtherPassphrase } from './ask-passphrase.ts';

/** `evenfall keys`: a key pair to sign runs with, and another passphrase for it. */
export function register(command: Command, io: Io): void {
  command
    .command('new')
    .description('make an Ed25519 key pair, the private key protected by a passphrase')
    .requiredOption(
      '--out <file>',
      'output file for the private key; the public key goes beside it',
    )
    .action(({ out }: { readonly out: string }) => newKey(out, io));
  command
    .command('passphrase')
    .description('change the passphrase of a private key, which is encrypted anew')
    .argument('<file>', 'the private key')
    .action((file: string) => changePassphrase(file, io));
}

async function newKey(out: string, io: Io): Promise<void> {
  const passphrase = await askNewPassphrase(io, refuseWeak(out));
  const { privateKey, publicPem, id } = newSigningKey();
  const privatePem = await encryptedPem(privateKey, passphrase);
  const publicFile = await writeKeyPair(out, { privatePem, publicPem });
  io.stdout(`${publicFile}\n`);
  io.stderr(
    [
      `Private key: ${out} (keep it to yourself; without its passphrase it is of no use to anyone)`,
      `Public key:  ${publicFile} (give it to whoever verifies)`,
      `Key id:      ${id}`,
      '',
    ].join('\n'),
  );
}

async function changePassphrase(file: string, io: Io): Promise<void> {
  const stored = await readKeyFile(file, { unencrypted: true });
  const open = (passphrase: string) => openKey(stored, passphrase);
  const old = stored.protection.encrypted
    ? { prompt: `Passphrase of ${file} as it is`, opened: open }
    : null;
  const passphrases = await askOtherPassphrase(io, old, refuseWeak(file));
  const { privateKey, id } = open(passphrases.old);
  await replaceKey(file, await encryptedPem(privateKey, passphrases.new));
  io.stderr(
    `Encrypted anew: ${file}, key id ${id}. Copies that were made of it have the old passphrase.\n`,
  );
}

/** Throws Complaint. Names that whoever has the file can see are the first that they try. */
function refuseWeak(file: string): (passphrase: string) => Promise<void> {
  return async (passphrase) => {
    const words = basename(file).split(/[^\p{L}\p{N}]+/u);
    const why = await weakPassphrase(passphrase, [...words, userName(), 'evenfall']);
    if (why) throw new Complaint('usage', why);
  };
}

function userName(): string {
  try {
    return userInfo().username;
  } catch {
    return '';
  }
}
