import * as z from 'zod';
import { type Ending, standsOpen, type Verdict, verdictOfRun } from '../verdict/verdict.ts';

/** Who looks after a claim that is known not to hold, why, and until which day (UTC, that day included) it fails no gate. */
export const quarantineSchema = z.strictObject({
  owner: z.string(),
  reason: z.string(),
  until: z.string(),
});
export type Quarantine = z.infer<typeof quarantineSchema>;

interface Gated {
  readonly verdict: Verdict;
  readonly quarantine?: Quarantine | undefined;
}

/** The claim is in quarantine and does not hold. */
export function isHeldBack(claim: Gated): boolean {
  return claim.quarantine !== undefined && standsOpen(claim);
}

/** What a gate goes by: the verdict of the claims that are not held back. Where nothing else is left, nothing stands against it. */
export function verdictOfGate(claims: readonly Gated[]): Ending {
  const counted = claims.filter((claim) => !isHeldBack(claim));
  const applies = counted.some(({ verdict }) => verdict !== 'not applicable');
  return applies || counted.length === claims.length ? verdictOfRun(counted) : 'pass';
}
