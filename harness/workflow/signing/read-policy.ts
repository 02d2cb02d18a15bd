import type { KeyObject } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { keyId } from '../../archive/dsse.ts';
import { type Policy, policySchema } from '../../archive/policy.ts';
import { knownKeys } from '../../files/known-keys.ts';
import { readYaml } from '../../files/read-yaml.ts';
import { schemaIssues } from '../../files/schema-issues.ts';
import { Complaint } from '../complaint.ts';
import { BadFiles } from '../inputs/bad-files.ts';
import { loadPublicKey } from './read-keys.ts';

export interface ReadPolicy {
  readonly policy: Policy;
  /** The public keys that it names. */
  readonly keys: readonly KeyObject[];
}

/** Reads a policy file and the keys that it names. Throws a Complaint with every issue at its place. */
export async function readPolicy(file: string): Promise<ReadPolicy> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    const sentence = `cannot read the policy file ${file} (${error.code})`;
    throw new Complaint('no-input', sentence, { cause: error });
  });
  const { yaml, issues } = readYaml(text, file);
  const parsed = yaml ? policySchema.safeParse(yaml.value) : null;
  const found =
    yaml && parsed?.error
      ? schemaIssues(yaml, parsed.error, (path) => knownKeys(policySchema, path))
      : [];
  const all = [...issues, ...found];
  if (all.length > 0 || !parsed?.success) throw new BadFiles(all, 'the policy cannot be used');
  const { policy, signers, release } = parsed.data;
  const known = await Promise.all(
    signers.map(async ({ key, ...signer }) => ({
      ...signer,
      key: await loadPublicKey(resolve(dirname(file), key)),
    })),
  );
  return {
    keys: known.map(({ key }) => key),
    policy: {
      name: policy,
      signers: known.map(({ name, key, lamps = null }) => ({ name, key: keyId(key), lamps })),
      signatures: release.signatures,
      noSelfApproval: release['no-self-approval'],
    },
  };
}
