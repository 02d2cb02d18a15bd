import type { KeyObject } from 'node:crypto';
import { dirname, resolve } from 'node:path';
import { keyId } from '../../archive/dsse.ts';
import { sha256 } from '../../archive/manifest.ts';
import { badName, sameName, samePerson } from '../../archive/person.ts';
import type { Policy } from '../../archive/policy.ts';
import {
  olderPolicyText,
  type PolicyFile,
  policyOf,
  policySchema,
} from '../../archive/policy-file.ts';
import { isBefore } from '../../archive/policy-instant.ts';
import type { Issue } from '../../files/issue.ts';
import { IssueList } from '../../files/issue-list.ts';
import { readYaml } from '../../files/read-yaml.ts';
import { Complaint } from '../complaint.ts';
import { BadFiles } from '../inputs/bad-files.ts';
import { readBytes } from '../inputs/read-bytes.ts';
import { loadPublicKey } from './read-keys.ts';

export interface ReadPolicy {
  readonly policy: Policy;
  /** The public keys that it names. */
  readonly keys: readonly KeyObject[];
}

/** Reads a policy file and the keys that it names. Throws a Complaint with every issue at its place. */
export async function readPolicy(file: string): Promise<ReadPolicy> {
  const bytes = policyBytes(file);
  const read = parsePolicy(bytes.toString('utf8'), file);
  if ('issues' in read) throw new BadFiles(read.issues, 'the policy cannot be used');
  const named = read.file.people.flatMap(({ keys }) => keys);
  const keys = await Promise.all(named.map((key) => loadNamedKey(file, key)));
  return { keys, policy: policyOf(read.file, sha256(bytes)) };
}

/** Far above any policy. */
const mostBytes = 2 ** 20;

function policyBytes(file: string): Buffer {
  try {
    return readBytes(file, mostBytes);
  } catch (error) {
    const why = (error as NodeJS.ErrnoException).code ?? (error as Error).message;
    const sentence = `cannot read the policy file ${file} (${why})`;
    throw new Complaint('no-input', sentence, { cause: error });
  }
}

/** The public key of a policy: the one that it means, and not whatever lies there by now. */
async function loadNamedKey(
  policyFile: string,
  { file, id }: { readonly file: string; readonly id: string },
): Promise<KeyObject> {
  const path = resolve(dirname(policyFile), file);
  const key = await loadPublicKey(path);
  if (keyId(key) === id) return key;
  const sentence = `${path}: expected the key ${id.slice(0, 12)}… of the policy ${policyFile}, found ${keyId(key).slice(0, 12)}…`;
  throw new Complaint('refused', sentence);
}

/** A policy file by itself, without the key files that it names; or every issue of it. */
export function parsePolicy(
  text: string,
  file: string,
): { readonly file: PolicyFile } | { readonly issues: readonly Issue[] } {
  const { yaml, issues } = readYaml(text, file);
  if (!yaml) return { issues };
  const list = new IssueList(yaml, issues);
  const older = olderPolicyText(yaml.value);
  if (older !== null) {
    list.add(['signers'], older, 'key');
    return { issues: list.sorted() };
  }
  const parsed = list.parse(policySchema, yaml.value);
  if (parsed) checkPolicy(parsed, list);
  return parsed && list.count === 0 ? { file: parsed } : { issues: list.sorted() };
}

function checkPolicy(policy: PolicyFile, list: IssueList): void {
  mustBegin(policy, [], list);
  policy.people.forEach((person, index) => {
    const at = ['people', index] as const;
    const problem = nameProblem(policy, index);
    if (problem) list.add([...at, 'name'], problem);
    person.keys.forEach((key, k) => {
      mustBegin(key, [...at, 'keys', k], list);
      const twin = policy.people.flatMap(({ keys }) => keys).filter(({ id }) => id === key.id);
      if (twin.length > 1)
        list.add([...at, 'keys', k, 'id'], 'expected a key once, found it several times');
    });
  });
  for (const [role, count] of Object.entries(policy.release.signatures)) {
    const found = policy.people.filter(({ roles }) => roles.includes(role)).length;
    if (found >= count) continue;
    list.add(
      ['release', 'signatures', role],
      `expected at least ${count} with the role ${role} among the people, found ${found}`,
    );
  }
}

function mustBegin(
  valid: { readonly 'valid-from': string; readonly expires: string },
  at: readonly (string | number)[],
  list: IssueList,
): void {
  if (isBefore(valid['valid-from'], valid.expires)) return;
  list.add(
    [...at, 'expires'],
    `expected a time after ${valid['valid-from']}, found ${valid.expires}`,
  );
}

function nameProblem({ people }: PolicyFile, index: number): string | null {
  const { name = '' } = people[index] ?? {};
  const twin = people.slice(0, index).find((one) => samePerson(one.name, name));
  if (twin && sameName(twin.name, name))
    return `expected each person once, found ${name} again; list all keys of a person together`;
  return (
    badName(name) ??
    (twin
      ? `expected names that can be told apart, found ${name}, which looks like ${twin.name}`
      : null)
  );
}
