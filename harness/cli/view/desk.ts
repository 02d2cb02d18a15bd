import type { KeyObject } from 'node:crypto';
import { existsSync } from 'node:fs';
import type { Policy } from '../../archive/policy.ts';
import { loadPublicKey, publicKeyFile } from '../../workflow/signing/read-keys.ts';
import { readPolicy } from '../../workflow/signing/read-policy.ts';
import type { Io } from '../common/io.ts';

/** What the pages are made of: an archive, and what the person who started the server trusts. */
export interface Desk {
  /** The archive. */
  readonly root: string;
  /** Private key that decisions are signed with; null: nobody can sign here. */
  readonly keyFile: string | null;
  readonly publicFiles: readonly string[];
  readonly policyFile: string | null;
  /** Only this computer can reach the pages. */
  readonly loopback: boolean;
  /** The pages are those of a lab, where nobody signs: keys stay with their owners. */
  readonly isLab?: boolean;
  readonly io: Io;
}

export interface Trust {
  readonly keys: readonly KeyObject[];
  readonly policy: Policy | null;
}

/** Keys and policy as their files say now: a policy that is changed counts from the next page on. */
export async function trustOf({ publicFiles, policyFile, keyFile }: Desk): Promise<Trust> {
  const given = await Promise.all(publicFiles.map(loadPublicKey));
  const read = policyFile === null ? null : await readPolicy(policyFile);
  // Somebody who signs with a key here trusts its public half, which lies beside it.
  const own = keyFile && publicKeyFile(keyFile);
  const nothingGiven = given.length === 0 && read === null;
  const beside = nothingGiven && own && existsSync(own) ? [await loadPublicKey(own)] : [];
  return { keys: [...given, ...(read?.keys ?? []), ...beside], policy: read?.policy ?? null };
}
