import type { RunRecord } from '../record/run-record.ts';
import { standsOpen } from '../verdict/verdict.ts';
import { samePerson } from './person.ts';
import { type Policy, type PolicyPerson, policyTitle } from './policy.ts';
import { unmetDemands, waivingRoles } from './policy-demands.ts';
import { personOf, refusedSignoff, type Signoff } from './policy-signers.ts';
import { type Seat, seatsOf } from './role-seats.ts';

/** What stands of all that was decided on a run. */
export type RunDecision = 'released' | 'on hold' | 'rejected' | 'undecided';

export interface Decided {
  readonly decision: RunDecision;
  /** What the policy misses: a sentence each. */
  readonly unmet: readonly string[];
  /** Of it, what the run itself lacks: no signature mends it. */
  readonly refused: readonly string[];
  /** Of it, what signers did that keeps it back: signatures that do not count, a hold, a waiver that is missing. */
  readonly heldBack: readonly string[];
  /** The signatures that the policy asks for, and who gave them; empty without a policy. */
  readonly seats: readonly Seat[];
}

/**
 * What was decided on a run, in the order of its sign-offs, by those who may: the last word of each counts. A policy says whose a
 * key is, so that a person may take back with one key what they said with another; without one a name is only a claim, and a
 * key alone takes back what it said. One who rejects outweighs all who release; `unmet` says what a policy misses.
 */
export function decisionOf(
  policy: Policy | null,
  run: RunRecord,
  signoffs: readonly Signoff[],
): Decided {
  if (!policy) return decisionWithout(signoffs);
  const { counted, doubts } = countedWords(policy, run, signoffs);
  const refused = unmetDemands(policy.demands, run);
  const releases = counted.filter(({ decision }) => decision === 'release');
  const people = releases.flatMap(({ signer }) => personOf(policy, signer.key) ?? []);
  const seats = seatsOf(policy.signatures, people);
  const heldBack = [
    ...doubts,
    ...counted
      .filter(({ decision }) => decision !== 'release')
      .map(({ signer, decision }) => `${signer.name} decided ${decision}`),
    ...(releases.length > 0 ? unmetReleases(policy, run, releases, people) : []),
  ];
  const unmet = [...heldBack, ...refused, ...unmetSeats(policy, seats)];
  return { decision: standing(counted, unmet.length === 0), unmet, refused, heldBack, seats };
}

/**
 * What was decided where nobody gave a policy. A release that was signed under one is a part of what that policy asks for, such
 * as the first of two signatures: without it, it decides nothing.
 */
function decisionWithout(signoffs: readonly Signoff[]): Decided {
  const words = lastWords(signoffs, false);
  const releases = words.filter(({ decision }) => decision === 'release');
  const heldBack = releases.flatMap(({ signer, policy }) =>
    policy === null
      ? []
      : [`${signer.name} released under ${policyTitle(policy)}: name its file with --policy`],
  );
  const isReleased = releases.length > 0 && heldBack.length === 0;
  const none = { refused: [], seats: [] };
  return { ...none, decision: standing(words, isReleased), unmet: heldBack, heldBack };
}

function standing(words: readonly Signoff[], released: boolean): RunDecision {
  if (words.some(({ decision }) => decision === 'reject')) return 'rejected';
  if (words.some(({ decision }) => decision === 'hold')) return 'on hold';
  return released ? 'released' : 'undecided';
}

/** The last words that count; and why others do not, unless their person said another one since. */
function countedWords(policy: Policy, run: RunRecord, signoffs: readonly Signoff[]) {
  const judged = signoffs.map((signoff, index) => ({
    signoff,
    why: refusedSignoff(policy, run, signoff, signoffs.slice(index + 1)),
  }));
  const counted = lastWords(
    judged.flatMap(({ signoff, why }) => (why === null ? [signoff] : [])),
    true,
  );
  const doubts = judged.flatMap(({ signoff, why }, index) => {
    const isMended = judged
      .slice(index + 1)
      .some((later) => later.why === null && isSameSigner(policy, later.signoff, signoff));
    return why === null || isMended ? [] : [why];
  });
  return { counted, doubts: [...new Set(doubts)] };
}

/** By the key, as the policy gives it: whoever only takes a name mends nothing. */
function isSameSigner(policy: Policy, a: Signoff, b: Signoff): boolean {
  const person = personOf(policy, a.signer.key);
  return person !== undefined && person === personOf(policy, b.signer.key);
}

/** Of each key, or of each person where names are known to be theirs. */
function lastWords(signoffs: readonly Signoff[], named: boolean): readonly Signoff[] {
  return signoffs.filter(
    ({ signer }, index) =>
      !signoffs
        .slice(index + 1)
        .some((later) =>
          named ? samePerson(later.signer.name, signer.name) : later.signer.key === signer.key,
        ),
  );
}

function unmetSeats(policy: Policy, seats: readonly Seat[]): string[] {
  const free = seats.filter(({ person }) => person === null);
  if (free.length === 0) return [];
  const signed = seats.filter(({ person }) => person !== null);
  const found = signed.map(({ person, role }) => `${person} (${role})`).join(', ') || 'none';
  const wanted = Object.entries(policy.signatures).map(([role, count]) => `${count} ${role}`);
  const total = seats.length === 1 ? '1 signature' : `${seats.length} signatures`;
  return [
    `${policyTitle(policy)}, requires ${total} for release (${wanted.join(', ')}), found ${signed.length} (${found}); missing: ${free.map(({ role }) => role).join(', ')}`,
  ];
}

/** What depends on who released the run, and when. */
function unmetReleases(
  policy: Policy,
  run: RunRecord,
  releases: readonly Signoff[],
  people: readonly PolicyPerson[],
): string[] {
  const { demands } = policy;
  const roles = new Set(people.flatMap((person) => person.roles));
  const unmet = releases.flatMap(({ signer, signedAt }) => {
    const why = tooOld(policy, run, signedAt);
    return why === null ? [] : [`${signer.name} signed too late: ${why}`];
  });
  for (const { spec, verdict } of run.specs) {
    const by = waivingRoles(demands, spec, verdict);
    if (!standsOpen({ verdict }) || by.length === 0 || isWaivedBy(policy, releases, spec, by))
      continue;
    unmet.push(`demanded: a waiver of ${spec} (${verdict}) by ${by.join(' or ')}; found: none`);
  }
  const kinds = new Set(run.deviations.map(({ kind }) => kind));
  for (const { kind, by } of demands.deviations) {
    if (!kinds.has(kind) || by.some((role) => roles.has(role))) continue;
    unmet.push(
      `demanded: a release by ${by.join(' or ')}, since the run has the deviation ${kind}; found: ${[...roles].join(', ')}`,
    );
  }
  return unmet;
}

function isWaivedBy(
  policy: Policy,
  releases: readonly Signoff[],
  spec: string,
  by: readonly string[],
): boolean {
  return releases.some(
    ({ signer, waivers }) =>
      waivers.some(({ claim }) => claim === spec) &&
      personOf(policy, signer.key)?.roles.some((role) => by.includes(role)),
  );
}

/** Why nobody can release the run at an instant, whoever signs: a sentence each. */
export function refusedRun(policy: Policy, run: RunRecord, at: string): string[] {
  const old = tooOld(policy, run, at);
  return [...unmetDemands(policy.demands, run), ...(old === null ? [] : [old])];
}

const day = 86_400;

/** Why the run is too old to be released at an instant; null where it is not. */
function tooOld({ demands }: Policy, run: RunRecord, at: string): string | null {
  const age = (Date.parse(at) - Date.parse(run.endedAt ?? run.startedAt)) / 1000;
  if (age <= demands.oldestRun) return null;
  const days = (seconds: number): string => {
    const count = Number((seconds / day).toFixed(1));
    return `${count} ${count === 1 ? 'day' : 'days'}`;
  };
  return `demanded: a run no older than ${days(demands.oldestRun)}; found: one of ${days(age)}`;
}
