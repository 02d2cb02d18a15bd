import { statSync } from 'node:fs';
import { resolve } from 'node:path';
import { Complaint } from '../complaint.ts';
import { readBytes } from '../inputs/read-bytes.ts';
import type { WebhookTarget } from './target.ts';

/** Variables by name. */
export type Environment = Readonly<Record<string, string | undefined>>;

/** Fewer bytes than these can be tried out; RFC 2104 asks for as many as the digest has, and many services hand out less. */
const fewestBytes = 16;
const mostBytes = 4096;

/** Where a secret of a target is looked for. */
interface Place {
  readonly target: string;
  readonly folder: string;
  readonly env: Environment;
}

/** The secret of a webhook, without the line end that editors add. Throws a Complaint that says where it was looked for, and never what was found. */
export function readSecret(secret: WebhookTarget['secret'], place: Place): string {
  const [text, where] =
    'env' in secret
      ? [place.env[secret.env], `the environment variable ${secret.env}`]
      : [inFile(secret.file, place), secret.file];
  const found = text?.replace(/\r?\n$/, '') ?? '';
  if (Buffer.byteLength(found) >= fewestBytes) return found;
  const what = found === '' ? 'none' : `${Buffer.byteLength(found)}`;
  throw new Complaint(
    'usage',
    `news target ${place.target}: expected a secret of at least ${fewestBytes} bytes in ${where}, found ${what}; make one with openssl rand -hex 32`,
  );
}

function inFile(file: string, { target, folder }: Place): string {
  const path = resolve(folder, file);
  try {
    if (process.platform !== 'win32' && (statSync(path).mode & 0o077) !== 0)
      throw new Complaint(
        'refused',
        `news target ${target}: others than its owner may read or write ${path}; chmod 600 ${file}`,
      );
    return readBytes(path, mostBytes).toString('utf8');
  } catch (error) {
    if (error instanceof Complaint) throw error;
    const why = (error as NodeJS.ErrnoException).code ?? (error as Error).message;
    throw new Complaint(
      'no-input',
      `news target ${target}: cannot read its secret from ${path} (${why})`,
      { cause: error },
    );
  }
}
