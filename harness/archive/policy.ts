import type { Verdict } from '../verdict/verdict.ts';

/** A key of a person. Instants ISO 8601 in UTC, or days, which begin at 00:00 UTC. */
export interface PolicyKey {
  /** `keyId` */
  readonly id: string;
  readonly validFrom: string;
  readonly expires: string;
  readonly revoked: string | null;
  readonly compromised: string | null;
}

export interface PolicyPerson {
  readonly name: string;
  readonly roles: readonly string[];
  /** Lamps that the person may decide on; null: every lamp. */
  readonly lamps: readonly string[] | null;
  readonly keys: readonly PolicyKey[];
}

/** What a run has to be before anybody may release it. Null: whatever it is. */
export interface PolicyDemands {
  readonly requirements: readonly string[];
  readonly claims: readonly { readonly claim: string; readonly digest: string | null }[];
  /** By tag: how many claims at least. */
  readonly tags: Readonly<Record<string, number>>;
  /** A simulated bench will do. */
  readonly simulated: boolean;
  readonly rigs: readonly string[] | null;
  /** Serial numbers of the instruments that may record. */
  readonly instruments: readonly string[] | null;
  readonly reported: readonly ('firmware' | 'serial')[];
  readonly builds: readonly string[] | null;
  readonly firmware: readonly string[] | null;
  readonly serials: readonly string[] | null;
  readonly calibrated: boolean;
  /** s from the end of the run to a release. */
  readonly oldestRun: number;
  readonly deviations: readonly { readonly kind: string; readonly by: readonly string[] }[];
  readonly waivers: readonly {
    readonly claim: string;
    readonly by: readonly string[];
    readonly verdicts: readonly Verdict[];
  }[];
}

/** Who may release what, as its file says. */
export interface Policy {
  readonly name: string;
  readonly version: number;
  /** SHA-256 of the file. */
  readonly digest: string;
  /** Digests of earlier versions, under which a decision counts, too. */
  readonly earlier: readonly string[];
  readonly validFrom: string;
  readonly expires: string;
  readonly people: readonly PolicyPerson[];
  /** How many persons of each role. */
  readonly signatures: Readonly<Record<string, number>>;
  /** The operator of a run must not be among those who release it. */
  readonly noSelfApproval: boolean;
  readonly demands: PolicyDemands;
}

/** `the policy Alcove-6 releases, version 3` */
export function policyTitle({ name, version }: Pick<Policy, 'name' | 'version'>): string {
  return `the policy ${name}, version ${version}`;
}
