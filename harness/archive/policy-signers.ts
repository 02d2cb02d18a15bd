import type { RunRecord } from '../record/run-record.ts';
import { looksEmpty, sameName, samePerson } from './person.ts';
import { type Policy, type PolicyKey, type PolicyPerson, policyTitle } from './policy.ts';
import { isBefore } from './policy-instant.ts';
import type { ReleasePredicate } from './statement.ts';

/** A sign-off as a policy sees it; those of a run are in their order, each bound by all that follow. */
export type Signoff = Pick<
  ReleasePredicate,
  'signer' | 'decision' | 'signedAt' | 'waivers' | 'policy'
>;

/** Who and what of a run a policy asks about before anybody may decide on it. */
export type DecidedRun = Pick<RunRecord, 'operator'> & {
  readonly lamp: Pick<RunRecord['lamp'], 'name'>;
};

interface Signer {
  readonly name: string;
  /** `keyId` */
  readonly key: string;
}

/** The person of a policy whose key it is. */
export function personOf(policy: Policy, key: string): PolicyPerson | undefined {
  return policy.people.find(({ keys }) => keys.some(({ id }) => id === key));
}

/** Why this person with this key may not decide on the run at this instant; null when they may. */
export function refusedSigner(
  policy: Policy,
  run: DecidedRun,
  signer: Signer,
  signedAt: string,
): string | null {
  const person = personOf(policy, signer.key);
  const key = person?.keys.find(({ id }) => id === signer.key);
  if (!person || !key)
    return `the key ${signer.key.slice(0, 12)}… is not in the policy ${policy.name}`;
  if (!sameName(person.name, signer.name)) {
    return `the policy ${policy.name} gives this key to ${person.name}, not to ${signer.name}`;
  }
  return (
    refusedInstant(policy, person.name, signedAt) ??
    refusedKey(person.name, key, signedAt) ??
    refusedPerson(policy, run, person)
  );
}

/** Why a person of the policy may not decide on the run, whatever the key; null when they may. */
function refusedPerson(
  policy: Policy,
  { lamp, operator }: DecidedRun,
  person: PolicyPerson,
): string | null {
  if (person.lamps && !person.lamps.some((name) => sameName(name, lamp.name))) {
    return `${person.name} may decide on ${person.lamps.join(', ')}, not on ${lamp.name}`;
  }
  if (!policy.noSelfApproval) return null;
  if (operator === undefined || looksEmpty(operator)) {
    return 'the policy forbids self-approval, but the record does not name the operator of the run; run with --operator NAME';
  }
  if (!samePerson(operator, person.name)) return null;
  return `${person.name} operated this run, and the policy forbids self-approval`;
}

function refusedInstant(policy: Policy, name: string, signedAt: string): string | null {
  const { validFrom, expires } = policy;
  if (isBefore(signedAt, validFrom))
    return `${name} signed on ${signedAt}, but ${policyTitle(policy)}, is valid from ${validFrom}`;
  if (isBefore(signedAt, expires)) return null;
  return `${name} signed on ${signedAt}, but ${policyTitle(policy)}, expired on ${expires}`;
}

function refusedKey(name: string, key: PolicyKey, signedAt: string): string | null {
  const found = `${name} signed on ${signedAt}, but the key ${key.id.slice(0, 12)}…`;
  if (isBefore(signedAt, key.validFrom)) return `${found} is valid from ${key.validFrom}`;
  if (!isBefore(signedAt, key.expires)) return `${found} expired on ${key.expires}`;
  const { revoked, compromised } = key;
  if (revoked !== null && !isBefore(signedAt, revoked)) return `${found} was revoked on ${revoked}`;
  if (compromised !== null && !isBefore(signedAt, compromised))
    return `${found} is compromised since ${compromised}`;
  return null;
}

/**
 * Why a sign-off of a run does not count; null where it does. Whoever has a compromised key can write any date: only a
 * later sign-off with a sound key, which binds the earlier ones, proves that a signature is older than the loss.
 */
export function refusedSignoff(
  policy: Policy,
  run: DecidedRun,
  signoff: Signoff,
  later: readonly Signoff[],
): string | null {
  const { signer, signedAt } = signoff;
  return (
    refusedSigner(policy, run, signer, signedAt) ??
    refusedUndated(policy, signoff, later) ??
    refusedPolicy(policy, signoff)
  );
}

function refusedUndated(policy: Policy, { signer }: Signoff, later: readonly Signoff[]) {
  const { compromised } = keyOf(policy, signer.key) ?? {};
  if (!compromised) return null;
  const proved = later.some((witness) => {
    const key = keyOf(policy, witness.signer.key);
    if (!key || key.compromised !== null) return false;
    return isBefore(witness.signedAt, compromised) && !refusedKey('', key, witness.signedAt);
  });
  if (proved) return null;
  return `the key ${signer.key.slice(0, 12)}… of ${signer.name} is compromised since ${compromised}, and no later sign-off proves that this one is older; sign anew with another key`;
}

function keyOf(policy: Policy, id: string): PolicyKey | undefined {
  return personOf(policy, id)?.keys.find((key) => key.id === id);
}

/** A release was decided by the rules that its signer had before their eyes. A rejection counts whatever the rules were. */
function refusedPolicy(
  policy: Policy,
  { signer, decision, policy: under }: Signoff,
): string | null {
  if (decision !== 'release') return null;
  if (under === null)
    return `${signer.name} signed under no policy, not under ${policyTitle(policy)}; sign with --policy`;
  if (policy.earlier.includes(under.digest)) return null;
  const named = under.name === policy.name && under.version === policy.version;
  if (under.digest === policy.digest)
    return named
      ? null
      : `${signer.name} calls the policy of this very digest ${policyTitle(under)}, but it is ${policyTitle(policy)}`;
  const found = `${policyTitle(under)} (sha256 ${under.digest.slice(0, 12)}…)`;
  return `${signer.name} signed under ${found}, not under ${policyTitle(policy)} (sha256 ${policy.digest.slice(0, 12)}…)`;
}
