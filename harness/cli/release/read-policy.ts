import type { KeyObject } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { dirname, resolve } from 'node:path';
import { keyId } from '../../archive/dsse.ts';
import { type Policy, policySchema } from '../../archive/policy.ts';
import { knownKeys } from '../../files/known-keys.ts';
import { readYaml } from '../../files/read-yaml.ts';
import { renderIssues } from '../../files/render-issues.ts';
import { schemaIssues } from '../../files/schema-issues.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';
import { loadPublicKey } from './read-keys.ts';

export interface ReadPolicy {
  readonly policy: Policy;
  /** The public keys that it names. */
  readonly keys: readonly KeyObject[];
}

/** A policy file and the keys that it names. Throws Complaint with every issue at its place. */
export async function readPolicy(file: string, io: Io): Promise<ReadPolicy> {
  const text = await readFile(file, 'utf8').catch((error: Error) => {
    const sentence = `expected a policy file, found none that can be read at ${file} (${error.message})`;
    throw new Complaint('no-input', sentence, { cause: error });
  });
  const { yaml, issues } = readYaml(text, file);
  const parsed = yaml ? policySchema.safeParse(yaml.value) : null;
  const found =
    yaml && parsed?.error
      ? schemaIssues(yaml, parsed.error, (path) => knownKeys(policySchema, path))
      : [];
  const all = [...issues, ...found];
  if (all.length > 0 || !parsed?.success) {
    const list = renderIssues(all, { colour: io.colour });
    throw new Complaint('bad-file', `the policy cannot be used:\n${list}`);
  }
  const { policy, signers, release } = parsed.data;
  const keys = await Promise.all(
    signers.map(({ key }) => loadPublicKey(resolve(dirname(file), key))),
  );
  return {
    keys,
    policy: {
      name: policy,
      signers: signers.map(({ name, lamps }, index) => ({
        name,
        key: keyId(keys[index]!),
        lamps: lamps ?? null,
      })),
      signatures: release.signatures,
      noSelfApproval: release['no-self-approval'],
    },
  };
}
