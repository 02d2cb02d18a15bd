import { existsSync } from 'node:fs';
import { keyId } from '../../archive/dsse.ts';
import type { Policy, PolicyPerson } from '../../archive/policy.ts';
import { personOf, refusedSigner } from '../../archive/policy-signers.ts';
import { type Seat, seatsOf } from '../../archive/role-seats.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { loadPublicKey, publicKeyFile } from '../../workflow/signing/read-keys.ts';
import type { Desk } from './desk.ts';

/** Whose key this server signs with, as a policy knows them. */
export interface DeskSigner {
  /** `keyId` */
  readonly key: string;
  readonly policy: Policy;
  /** Null where the policy does not know the key. */
  readonly person: PolicyPerson | null;
}

/** Null without a policy or a key: then nobody is known before they type their name. */
export async function deskSigner(
  { keyFile }: Desk,
  policy: Policy | null,
): Promise<DeskSigner | null> {
  const file = keyFile === null ? null : publicKeyFile(keyFile);
  if (policy === null || file === null || !existsSync(file)) return null;
  const key = keyId(await loadPublicKey(file));
  return { key, policy, person: personOf(policy, key) ?? null };
}

/** Why this person cannot decide on the run, in a sentence; null where they can. */
export function whyNotTheirs(signer: DeskSigner, record: RunRecord, now: string): string | null {
  const { key, policy, person } = signer;
  return refusedSigner(policy, record, { name: person?.name ?? '', key }, now);
}

/** Why a release by this person would add nothing, in a sentence; null where it would, or nobody knows. */
export function whyNothingNew(
  { policy, person }: DeskSigner,
  seats: readonly Seat[],
): string | null {
  if (!person) return null;
  const missing = seats.flatMap(({ role, person: given }) => (given === null ? [role] : []));
  const own = seats.find((seat) => seat.person === person.name);
  if (own) return `${person.name} has signed (${own.role}); it waits for ${missing.join(' and ')}`;
  const people = policy.people.filter(({ name }) => seats.some((seat) => seat.person === name));
  const before = taken(seatsOf(policy.signatures, people));
  if (taken(seatsOf(policy.signatures, [...people, person])) > before) return null;
  return `${person.name} has the role ${person.roles.join(' and ')}; it waits for ${missing.join(' and ')}`;
}

function taken(seats: readonly Seat[]): number {
  return seats.filter(({ person }) => person !== null).length;
}
