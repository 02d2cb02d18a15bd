import type { Fault } from '../../drivers/plant/faults/fault.ts';
import { fitOf } from '../../harness/diagnose/causes/fit.ts';
import {
  type Signature,
  type StoredSignatures,
  shortName,
  storedClaim,
} from '../../harness/diagnose/causes/signature.ts';
import type { Gathered, GatheredFile, Trial } from './gathered.ts';

/** Signatures that fit each other this well are one cause with several names. */
const alikeFit = 0.97;

/** Claims and what of them fails, by short name; claims that were not judged are left out. */
export function claimsOf(gathered: Iterable<Gathered>): Map<string, Map<string, number>> {
  const judged = [...gathered].filter(({ judged }) => judged);
  return new Map(
    judged.map(({ spec, features }) => [
      spec,
      new Map(features.map(([name, strength]) => [shortName(name), strength])),
    ]),
  );
}

/** One signature for each fault that breaks a claim, from its trial at the nominal size. */
export function tableOf(
  faults: readonly Fault[],
  trialOf: (fault: Fault) => Trial | null,
  file: GatheredFile,
  specs: readonly string[],
): StoredSignatures {
  const tried = faults.flatMap((fault) => {
    const trial = trialOf(fault);
    const claims = trial ? claimsOf(file.of(trial).values()) : new Map();
    return [...claims.values()].some(({ size }) => size > 0) ? [{ fault, claims }] : [];
  });
  return {
    about: 'Made by npm run signature-table from runs with each seeded fault at its nominal size.',
    claims: specs,
    causes: tried.map(({ fault: { id, title, about }, claims }) => ({
      fault: id,
      title,
      about,
      alike: tried
        .filter((other) => other.fault.id !== id && isAlike(claims, other.claims))
        .map(({ fault }) => fault.id),
      tried: specs
        .map((spec, number) => ({ own: claims.get(spec), number }))
        .flatMap(({ own, number }) => (own ? [storedClaim(number, own)] : []))
        .join(' '),
    })),
  };
}

/** Each fits the other, by all that either breaks: what the other was not tried with is no proof that they are alike. */
function isAlike(a: Signature['claims'], b: Signature['claims']): boolean {
  const even = (): number => 1;
  return fitOf(a, b, even) >= alikeFit && fitOf(b, a, even) >= alikeFit;
}
