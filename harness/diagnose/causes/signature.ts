/** What a fault does to the claims of the library, as its runs on the simulated lamp showed. */
export interface Signature {
  readonly fault: string;
  readonly title: string;
  readonly about: string;
  /** Faults that no claim tells from this one. */
  readonly alike: readonly string[];
  /** By claim that was tried, and short name of a feature: -1 to 1. What passes has none. */
  readonly claims: ReadonlyMap<string, ReadonlyMap<string, number>>;
}

/** As it is stored: claims by their number, features by short names, strengths by letters. */
export interface StoredSignatures {
  /** How the file is made. */
  readonly about: string;
  readonly claims: readonly string[];
  readonly causes: readonly {
    readonly fault: string;
    readonly title: string;
    readonly about: string;
    readonly alike: readonly string[];
    /** Numbers of the claims that were tried; a colon and features follow those that did not pass. */
    readonly tried: string;
  }[];
}

/** Steps of a stored strength, 26 letters for each sign. */
const steps = 26;
const firstAbove = 'a'.charCodeAt(0);
const firstBelow = 'A'.charCodeAt(0);

export function readSignatures({ claims, causes }: StoredSignatures): Signature[] {
  return causes.map(({ tried, ...cause }) => ({
    ...cause,
    claims: new Map(
      tried.split(' ').map((part): [string, Map<string, number>] => {
        const [number = '', features = ''] = part.split(':');
        return [claims[Number(number)] ?? '', readFeatures(features)];
      }),
    ),
  }));
}

function readFeatures(text: string): Map<string, number> {
  const features = new Map<string, number>();
  for (const part of text.split(',')) {
    const code = part.charCodeAt(nameLength);
    if (Number.isNaN(code)) continue;
    const strength =
      code >= firstAbove ? (code - firstAbove + 1) / steps : -(code - firstBelow + 1) / steps;
    features.set(part.slice(0, nameLength), strength);
  }
  return features;
}

/** One claim of a signature as it is stored; `features` by short name. */
export function storedClaim(number: number, features: ReadonlyMap<string, number>): string {
  const parts = [...features].map(([name, strength]) => {
    const step = Math.min(steps - 1, Math.max(0, Math.round(Math.abs(strength) * steps) - 1));
    return name + String.fromCharCode((strength > 0 ? firstAbove : firstBelow) + step);
  });
  return parts.length === 0 ? `${number}` : `${number}:${parts.join(',')}`;
}

/** Within one claim four of 36 letters are enough to tell hundreds of features apart. */
const nameLength = 4;

/** A feature's name, shortened: FNV-1a over its letters (from memory). */
export function shortName(name: string): string {
  let hash = 0x811c9dc5;
  for (let k = 0; k < name.length; k++) hash = Math.imul(hash ^ name.charCodeAt(k), 0x01000193);
  return (hash >>> 0).toString(36).padStart(7, '0').slice(-nameLength);
}
