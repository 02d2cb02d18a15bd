import { randomUUID } from 'node:crypto';
import { open, realpath, rename, rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import { flushFolder } from '../../archive/write-file-whole.ts';
import { Complaint } from '../complaint.ts';
import { publicKeyFile } from './read-keys.ts';

/**
 * Writes both halves of a new key, the private one for its owner alone. Never overwrites: a lost private key cannot be recovered.
 * Both appear or none. Returns the public key's file; throws a Complaint.
 */
export async function writeKeyPair(
  file: string,
  { privatePem, publicPem }: { readonly privatePem: string; readonly publicPem: string },
): Promise<string> {
  const publicFile = publicKeyFile(file);
  await writeNew(file, privatePem, 0o600);
  try {
    await writeNew(publicFile, publicPem, 0o644);
    await flushFolder(dirname(file));
  } catch (error) {
    await rm(file, { force: true });
    throw error;
  }
  return publicFile;
}

/** Puts another text in the place of a private key, whole or not at all. Throws a Complaint; the old key is there still then. */
export async function replaceKey(file: string, privatePem: string): Promise<void> {
  const target = await realpath(file);
  const fresh = `${target}.${randomUUID()}.part`;
  await writeNew(fresh, privatePem, 0o600);
  try {
    await rename(fresh, target);
    await flushFolder(dirname(target));
  } catch (error) {
    await rm(fresh, { force: true });
    throw cannotWrite(file, error as NodeJS.ErrnoException);
  }
}

/** Made with its mode and as a new file: at no time can others read it, and nothing that lies there is written to. */
async function writeNew(file: string, text: string, mode: number): Promise<void> {
  let made = false;
  try {
    const handle = await open(file, 'wx', mode);
    made = true;
    try {
      await handle.writeFile(text);
      await handle.sync();
    } finally {
      await handle.close();
    }
  } catch (error) {
    if (made) await rm(file, { force: true });
    throw cannotWrite(file, error as NodeJS.ErrnoException);
  }
}

function cannotWrite(file: string, error: NodeJS.ErrnoException): Complaint {
  const why: Readonly<Record<string, string>> = {
    EEXIST: 'it already exists and is not overwritten; name another file with --out',
    ENOSPC: 'the disk is full; free some space, or name another place with --out',
    EDQUOT: 'the quota of the disk is used up; free some space, or name another place with --out',
  };
  const said = why[error.code ?? ''] ?? `${error.message}; name another file with --out`;
  return new Complaint('cannot-create', `cannot write the key ${file}: ${said}`, { cause: error });
}
