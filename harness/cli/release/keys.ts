import { open, rm } from 'node:fs/promises';
import type { Command } from 'commander';
import { newSigningKey, shortestPassphrase } from '../../archive/signing-key.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { publicKeyFile } from '../../workflow/signing/read-keys.ts';
import type { Io } from '../common/io.ts';
import { askNewPassphrase } from './ask-passphrase.ts';

/** `evenfall keys new`: a key pair to sign runs with. */
export function register(command: Command, io: Io): void {
  command
    .command('new')
    .description('make an Ed25519 key pair, the private key protected by a passphrase')
    .requiredOption(
      '--out <file>',
      'output file for the private key; the public key goes beside it',
    )
    .action(({ out }: { readonly out: string }) => newKey(out, io));
}

async function newKey(out: string, io: Io): Promise<void> {
  const passphrase = await askNewPassphrase(io, 'Passphrase for the new key', refuseShort);
  const { privatePem, publicPem, id } = newSigningKey(passphrase);
  const publicFile = publicKeyFile(out);
  await writeNew(out, privatePem, 0o600);
  try {
    await writeNew(publicFile, publicPem, 0o644);
  } catch (error) {
    await rm(out);
    throw error;
  }
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

/** Throws Complaint. */
function refuseShort(passphrase: string): void {
  const { length } = [...passphrase];
  if (length >= shortestPassphrase) return;
  const sentence = `expected a passphrase of at least ${shortestPassphrase} characters, found ${length}`;
  throw new Complaint('usage', sentence);
}

/** Never overwrites: a lost private key cannot be recovered. */
async function writeNew(file: string, text: string, mode: number): Promise<void> {
  try {
    const handle = await open(file, 'wx', mode);
    try {
      await handle.writeFile(text);
      await handle.sync();
    } finally {
      await handle.close();
    }
  } catch (error) {
    const exists = (error as NodeJS.ErrnoException).code === 'EEXIST';
    const why = exists ? 'it already exists and is not overwritten' : (error as Error).message;
    const sentence = `cannot write the key ${file}: ${why}; name another file with --out`;
    throw new Complaint('cannot-create', sentence, { cause: error });
  }
}
