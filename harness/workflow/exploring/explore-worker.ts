import { setImmediate } from 'node:timers/promises';
import { parentPort, workerData } from 'node:worker_threads';
import { type FoundDeviation, Search } from '../../explore/search.ts';
import { isShared } from '../../explore/shared-deviation.ts';
import type { Plan } from '../../plan/plan.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { type BrokenClaim, ClaimTurns } from './claim-turns.ts';
import type { TriedLamp } from './observe-sequence.ts';
import { tryOn } from './try-sequence.ts';

/** What a worker of a search is started with. */
export interface ExploreWorkerData {
  readonly tried: TriedLamp;
  readonly seed: number;
  readonly corpus: readonly (readonly WrittenStep[])[];
  readonly shrinkTries: number;
  /** Claims that the lamp is held to between sequences; which of so many threads this is. */
  readonly plans: readonly Plan[];
  readonly share: number;
  readonly of: number;
  /** Word 0 is 1 while firmware is being called, word 1 counts the calls. */
  readonly heartbeat: SharedArrayBuffer;
  /** Word 0: 1 when the search is to end. */
  readonly stop: SharedArrayBuffer;
}

export type ExploreNews =
  | { readonly news: 'trying'; readonly steps: readonly WrittenStep[] }
  | {
      readonly news: 'progress';
      readonly count: number;
      readonly reached: number;
      readonly kinds: readonly (readonly [string, number])[];
    }
  | {
      readonly news: 'deviation';
      readonly found: FoundDeviation;
      /** The reference firmware without faults does so, too. */
      readonly ofReference: boolean;
    }
  | { readonly news: 'claim'; readonly broken: BrokenClaim }
  | { readonly news: 'ended'; readonly corpus: readonly (readonly WrittenStep[])[] };

/** One thread of a search. */
const port = parentPort;
if (!port) throw new Error('explore-worker is started as a worker thread by explore');
const data = workerData as ExploreWorkerData;
const say = (news: ExploreNews): void => port.postMessage(news);
const stop = new Int32Array(data.stop);
const carryOut = tryOn({ ...data.tried, heartbeat: data.heartbeat }, data.seed);
const search = new Search({ ...data, lamp: data.tried.lamp }, (steps) => {
  say({ news: 'trying', steps });
  return carryOut(steps);
});
const { lamp, rig, lampSeed, faults, firmware } = data.tried;
/** Null where nothing else than the reference firmware is tried. */
const onReference =
  firmware || faults.length > 0 ? tryOn({ lamp, rig, lampSeed, faults: [] }, data.seed) : null;
const claims = new ClaimTurns(data.plans, { ...data.tried, heartbeat: data.heartbeat }, data);
const { signal } = new AbortController();
/** Part of the time that goes to the claims. */
const claimShare = claims.count > 0 ? 0.4 : 0;
let [onClaims, onSequences] = [0, 0];
/** ms of the wall clock from one report of progress to the next. */
const often = 250;

let last = 0;
while (Atomics.load(stop, 0) === 0) {
  const began = performance.now();
  if (onClaims < claimShare * (onClaims + onSequences)) {
    const broken = await claims.next(signal);
    if (broken) say({ news: 'claim', broken });
    onClaims += performance.now() - began;
  } else {
    const found = await search.next();
    if (found) {
      const ofReference = onReference !== null && (await isShared(found, onReference));
      say({ news: 'deviation', found, ofReference });
    }
    onSequences += performance.now() - began;
  }
  if (performance.now() - last < often) continue;
  last = performance.now();
  progress();
  await setImmediate();
}
progress();
say({ news: 'ended', corpus: search.corpus });

function progress(): void {
  const { count, reached, kinds } = search;
  say({ news: 'progress', count, reached, kinds: [...kinds] });
}
