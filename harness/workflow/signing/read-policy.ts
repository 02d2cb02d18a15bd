import type { KeyObject } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { keyId } from '../../archive/dsse.ts';
import { type Policy, policySchema } from '../../archive/policy.ts';
import { IssueList } from '../../files/issue-list.ts';
import { readYaml } from '../../files/read-yaml.ts';
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
  const list = yaml && new IssueList(yaml, issues);
  const parsed = list?.parse(policySchema, yaml?.value);
  if (!parsed || issues.length > 0)
    throw new BadFiles(list?.sorted() ?? issues, 'the policy cannot be used');
  const { policy, signers, release } = parsed;
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
