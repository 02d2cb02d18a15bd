import * as z from 'zod';
import type { ReleasePredicate } from './statement.ts';

/** Who may release what: the file that an organisation keeps under review. */
export const policySchema = z.strictObject({
  policy: z.string(),
  signers: z
    .array(
      z.strictObject({
        name: z.string().min(1),
        /** Path of the public key, relative to the policy file. */
        key: z.string().min(1),
        /** Lamps that the signer may decide on; absent: every lamp. */
        lamps: z.array(z.string()).optional(),
      }),
    )
    .min(1),
  release: z.strictObject({
    signatures: z.number().int().min(1).max(20),
    /** The operator of the run must not be among those who release it. */
    'no-self-approval': z.boolean(),
  }),
});

/** A policy with its keys read. */
export interface Policy {
  readonly name: string;
  readonly signers: readonly {
    readonly name: string;
    /** `keyId` */
    readonly key: string;
    readonly lamps: readonly string[] | null;
  }[];
  readonly signatures: number;
  readonly noSelfApproval: boolean;
}

/** What a policy needs to know of the run that is decided on. */
export interface DecidedRun {
  readonly lamp: string;
  /** Who operated the bench, where the record says so. */
  readonly operator: string | null;
}

/** Why this person with this key may not decide on the run; null when they may. */
export function refusedSigner(
  policy: Policy,
  run: DecidedRun,
  signer: { readonly name: string; readonly key: string },
): string | null {
  const known = policy.signers.find(({ key }) => key === signer.key);
  if (!known) return `the key ${signer.key.slice(0, 12)}… is not in the policy ${policy.name}`;
  if (!samePerson(known.name, signer.name)) {
    return `the policy ${policy.name} gives this key to ${known.name}, not to ${signer.name}`;
  }
  if (known.lamps && !known.lamps.some((lamp) => samePerson(lamp, run.lamp))) {
    return `${known.name} may decide on ${known.lamps.join(', ')}, not on ${run.lamp}`;
  }
  if (!policy.noSelfApproval) return null;
  if (run.operator === null) {
    return 'the policy forbids self-approval, but the record does not name the operator of the run; run with --operator NAME';
  }
  if (samePerson(run.operator, signer.name)) {
    return `${signer.name} operated this run, and the policy forbids self-approval`;
  }
  return null;
}

/** Why the run is not released under the policy; empty when it is. Each key counts once, by its last decision. */
export function unmetPolicy(
  policy: Policy,
  run: DecidedRun,
  signoffs: readonly Pick<ReleasePredicate, 'signer' | 'decision'>[],
): string[] {
  const unmet: string[] = [];
  const last = new Map<string, (typeof signoffs)[number]>();
  for (const signoff of signoffs) last.set(signoff.signer.key, signoff);
  let releases = 0;
  for (const { signer, decision } of last.values()) {
    const why = refusedSigner(policy, run, signer);
    if (why) unmet.push(why);
    else if (decision === 'release') releases++;
    else unmet.push(`${signer.name} decided ${decision}`);
  }
  if (releases < policy.signatures) {
    const wanted = policy.signatures === 1 ? '1 signature' : `${policy.signatures} signatures`;
    unmet.push(`the policy ${policy.name} requires ${wanted} for release, found ${releases}`);
  }
  return unmet;
}

/** Names that differ only in case, spaces or composition are one: nobody approves themselves with a space more. */
function samePerson(a: string, b: string): boolean {
  const plain = (text: string): string =>
    text.normalize('NFKC').trim().replace(/\s+/g, ' ').toLowerCase();
  return plain(a) === plain(b);
}
