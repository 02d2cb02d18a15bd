import { fileSystemError } from './archive-error.ts';
import { enterSignoff } from './enter-signoff.ts';
import { withFileLock } from './file-lock.ts';
import { matchWaivers, SignRefusal, signableRun } from './signable-run.ts';
import type { SigningKey } from './signing-key.ts';
import { type SignoffEnvelopes, sealSignoff, writeSignoff } from './signoff-envelopes.ts';
import type { Decision, ReleasePredicate } from './statement.ts';

export interface SignRequest {
  readonly key: SigningKey;
  readonly name: string;
  readonly meaning: string;
  readonly decision: Decision;
  readonly waivers: readonly { readonly claim: string; readonly reason: string }[];
  /** ISO 8601 UTC */
  readonly signedAt: string;
  /** Policy that the decision was held against before; absent: none. */
  readonly policy?: ReleasePredicate['policy'];
  /** Ledger of decisions that the run is held against and the sign-off is entered in; absent: none. */
  readonly ledger?: string;
}

/**
 * Adds a sign-off to a sealed run and returns the new file. Nothing that was there is touched. Throws SignRefusal when
 * the run is not whole, when a release leaves a claim that did not pass without a waiver, when a waiver fits none, or when the
 * ledger knows of a sign-off that is no longer there.
 */
export async function signRun(folder: string, request: SignRequest): Promise<string> {
  const run = await signableRun(folder, request);
  const waivers = matchWaivers(run.record, request);
  const declaration = { policy: null, ...request, waivers };
  const make = (): Promise<SignoffEnvelopes> =>
    sealSignoff(folder, run, declaration).catch((error) => cannotSign(folder, error));
  const { ledger, signedAt } = request;
  if (ledger === undefined)
    return writeSignoff(folder, await make()).catch((error) => cannotSign(folder, error));
  return withFileLock(`${ledger}.lock`, () =>
    enterSignoff(folder, run, { ledger, signedAt, make }),
  );
}

function cannotSign(folder: string, error: Error): never {
  if (error instanceof SignRefusal) throw error;
  throw fileSystemError(error, `signing the run in ${folder}`);
}
