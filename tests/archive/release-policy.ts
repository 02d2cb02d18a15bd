import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type * as z from 'zod';
import { keyId } from '../../harness/archive/dsse.ts';
import { sha256 } from '../../harness/archive/manifest.ts';
import type { Policy } from '../../harness/archive/policy.ts';
import { policyOf, policySchema } from '../../harness/archive/policy-file.ts';
import { readPublicKey } from '../../harness/archive/signing-key.ts';
import type { ReleasePredicate } from '../../harness/archive/statement.ts';

type File = z.input<typeof policySchema>;
interface Person {
  readonly name: string;
  /** Of the one key. */
  readonly id: string;
  readonly roles?: string[];
  readonly lamps?: string[];
  readonly dates?: Partial<File['people'][number]['keys'][number]>;
}

/** A policy beside the public keys that it names; `text` changes it. Returns its path. */
export function writePolicy(
  folder: string,
  people: readonly (Omit<Person, 'id'> & { readonly file: string })[],
  release: Partial<File['release']> = {},
  text: (written: string) => string = (written) => written,
): string {
  const path = join(folder, 'release.policy.yaml');
  const known = people.map(({ file, dates, ...person }) => {
    const read = readPublicKey(readFileSync(join(folder, file), 'utf8'));
    if (!read.ok) throw new Error(read.why);
    return { ...person, id: keyId(read.key), dates: { file, ...dates } };
  });
  writeFileSync(path, text(JSON.stringify(policyFile(known, release), null, 2)));
  return path;
}

/** A policy file that asks nothing of the sample run but what `release` adds; JSON is YAML. */
export function policyFile(
  people: readonly Person[],
  release: Partial<File['release']> = {},
  over: Partial<File> = {},
): File {
  return {
    ...{
      policy: 'Alcove-6 releases',
      version: 3,
      'valid-from': '2026-01-01',
      expires: '2099-01-01',
    },
    people: people.map(({ name, id, dates, roles = ['quality'], lamps }) => ({
      ...{ name, roles, ...(lamps && { lamps }) },
      keys: [
        {
          ...{ file: `${name.toLowerCase()}.pub.pem`, id },
          ...{ 'valid-from': '2026-01-01', expires: '2099-01-01', ...dates },
        },
      ],
    })),
    release: {
      signatures: { quality: 1 },
      'no-self-approval': false,
      passed: { claims: ['fade-on-time'] },
      rig: { simulated: 'allow' },
      lamp: { reported: [] },
      'oldest-run': '36500 d',
      ...release,
    },
    ...over,
  };
}

export function policyFor(...given: Parameters<typeof policyFile>): Policy {
  const file = policyFile(...given);
  return policyOf(policySchema.parse(file), sha256(JSON.stringify(file)));
}

/** How a statement names it. */
export function referenceTo({ name, version, digest }: Policy): ReleasePredicate['policy'] {
  return { name, version, digest };
}
