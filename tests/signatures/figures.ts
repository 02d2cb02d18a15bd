import { rankedCauses } from '../../harness/diagnose/causes/likely-causes.ts';
import type { Signature } from '../../harness/diagnose/causes/signature.ts';
import type { Trial } from './gathered.ts';

/** Where the right cause stood among those that were named for a trial. */
interface Placed {
  readonly trial: Trial;
  /** 0 for the first; -1 where it did not fit at all. */
  readonly place: number;
  readonly fit: number;
  /** What was named first. */
  readonly first: string;
  /** The best fit of any other cause once its own signature is taken away. */
  readonly stranger: { readonly fault: string; readonly fit: number };
}

/** Null where nothing fails, or the fault has no signature. */
export function placedCause(
  trial: Trial,
  run: Signature['claims'],
  signatures: readonly Signature[],
): Placed | null {
  const own = signatures.find(({ fault }) => fault === trial.fault);
  const fails = [...run.values()].some(({ size }) => size > 0);
  if (!own || !fails) return null;
  const right = new Set([own.fault, ...own.alike]);
  const ranked = rankedCauses(run, signatures);
  const place = ranked.findIndex(({ fault }) => right.has(fault));
  const [stranger] = rankedCauses(
    run,
    signatures.filter(({ fault }) => !right.has(fault)),
  );
  return {
    trial,
    place,
    fit: ranked[place]?.fit ?? 0,
    first: ranked[0]?.fault ?? 'none',
    stranger: { fault: stranger?.fault ?? 'none', fit: stranger?.fit ?? 0 },
  };
}

/** `214 runs: right cause first 98.1 %, among three 99.5 %; …` */
export function figuresText(placed: readonly Placed[], leastFit: number): string {
  const share = (count: number): string => `${((100 * count) / placed.length).toFixed(1)} %`;
  const first = placed.filter(({ place }) => place === 0).length;
  const three = placed.filter(({ place }) => place >= 0 && place < 3).length;
  const named = placed.filter(({ fit }) => fit >= leastFit).length;
  const strangers = placed.filter(({ stranger }) => stranger.fit >= leastFit).length;
  return `${placed.length} runs: right cause first ${share(first)}, among three ${share(three)}, fits by ${leastFit} or more ${share(named)}; its signature taken away, another fits so well in ${share(strangers)}`;
}
