import type { KeyObject } from 'node:crypto';
import { constants } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import { type Protection, protectionOf } from '../../archive/encrypted-key.ts';
import {
  type ReadKey,
  readPublicKey,
  readSigningKey,
  type SigningKey,
} from '../../archive/signing-key.ts';
import { Complaint } from '../complaint.ts';
import { readBytes } from '../inputs/read-bytes.ts';

/** The file of the public half beside a private key's: `mira.pem` -> `mira.pub.pem`. */
export function publicKeyFile(privateFile: string): string {
  return `${privateFile.replace(/\.pem$/, '')}.pub.pem`;
}

/** A private key file that nobody but its owner can read, not opened yet. */
export interface KeyFile {
  readonly file: string;
  readonly pem: string;
  readonly protection: Protection;
}

/**
 * Reads a private key file. Throws a Complaint where others than its owner may read it, and where it is not encrypted, unless
 * `unencrypted` allows that.
 */
export async function readKeyFile(
  file: string,
  { unencrypted = false }: { readonly unencrypted?: boolean | undefined } = {},
): Promise<KeyFile> {
  const handle = await open(file, keyFileFlags).catch((error) => cannotRead(file, error));
  try {
    await refuseShared(file, handle);
    const pem = await handle.readFile('utf8').catch((error) => cannotRead(file, error));
    const protection = protectionOf(pem);
    if (!protection.encrypted && !unencrypted && pem.includes('PRIVATE KEY-----'))
      throw new Complaint('refused', `${file} is not encrypted: whoever gets hold of it can sign`, {
        remedy: 'unencrypted-key',
      });
    return { file, pem, protection };
  } finally {
    await handle.close();
  }
}

/** A pipe that nobody writes to is not waited for. */
const keyFileFlags = constants.O_RDONLY | constants.O_NONBLOCK;

/** Permission bits of the group and of all others. */
const othersBits = 0o077;

/** Windows keeps its permissions elsewhere. */
async function refuseShared(file: string, handle: FileHandle): Promise<void> {
  const { mode } = await handle.stat();
  if (process.platform === 'win32' || (mode & othersBits) === 0) return;
  const found = (mode & 0o777).toString(8).padStart(4, '0');
  const sentence = `expected a private key that its owner alone can read (0600), found ${file} with ${found}: run chmod 600 ${file}, or make a new key where others may have copied it`;
  throw new Complaint('refused', sentence);
}

/** The private key of a file, opened with its passphrase. */
export function openKey({ file, pem }: KeyFile, passphrase: string): SigningKey {
  return orComplaint(file, readSigningKey(pem, passphrase));
}

/** What to tell the owner of a key that is protected less than it could be; null where there is nothing to tell. */
export function keyNote({ file, protection }: KeyFile): string | null {
  const weakness = protection.encrypted ? protection.weakness : 'it is not encrypted';
  return weakness && `${file}: ${weakness}; evenfall keys passphrase ${file} encrypts it anew`;
}

/** The public key of a file. */
export async function loadPublicKey(file: string): Promise<KeyObject> {
  return orComplaint(file, readPublicKey(publicPem(file)));
}

/** Far above any key. */
const mostBytes = 2 ** 20;

function publicPem(file: string): string {
  try {
    return readBytes(file, mostBytes).toString('utf8');
  } catch (error) {
    return cannotRead(file, error as NodeJS.ErrnoException);
  }
}

function cannotRead(file: string, error: NodeJS.ErrnoException): never {
  const sentence = `cannot read the key file ${file} (${error.code ?? error.message})`;
  throw new Complaint('no-input', sentence, { cause: error });
}

function orComplaint<Key>(file: string, read: ReadKey<Key>): Key {
  if (read.ok) return read.key;
  throw new Complaint('refused', `${file}: ${read.why}`);
}
