import type { KeyObject } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import {
  type ReadKey,
  readPublicKey,
  readSigningKey,
  type SigningKey,
} from '../../archive/signing-key.ts';
import { Complaint } from '../complaint.ts';

/** The file of the public half beside a private key's: `mira.pem` -> `mira.pub.pem`. */
export function publicKeyFile(privateFile: string): string {
  return `${privateFile.replace(/\.pem$/, '')}.pub.pem`;
}

/** The private key of a file, opened with its passphrase. */
export async function loadSigningKey(file: string, passphrase: string): Promise<SigningKey> {
  return orComplaint(file, readSigningKey(await keyText(file), passphrase));
}

/** The public key of a file. */
export async function loadPublicKey(file: string): Promise<KeyObject> {
  return orComplaint(file, readPublicKey(await keyText(file)));
}

async function keyText(file: string): Promise<string> {
  return readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    const sentence = `cannot read the key file ${file} (${error.code})`;
    throw new Complaint('no-input', sentence, { cause: error });
  });
}

function orComplaint<Key>(file: string, read: ReadKey<Key>): Key {
  if (read.ok) return read.key;
  throw new Complaint('refused', `${file}: ${read.why}`);
}
