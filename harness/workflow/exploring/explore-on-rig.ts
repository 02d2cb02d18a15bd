import type { BenchTerms } from '../../explore/rig/why-not-on-rig.ts';
import { type FoundDeviation, Search } from '../../explore/search.ts';
import type { ConditionRecord } from '../../record/run-record.ts';
import { Complaint } from '../complaint.ts';
import type { Bench } from '../inputs/read-bench.ts';
import { type PreparedRig, prepareRig } from '../rig/prepare-rig.ts';
import type { RigUse } from '../rig/rig-event.ts';
import { BenchTries, benchPlan } from './bench-tries.ts';
import type { ExploreRequest, ExploreResult, TimedDeviation } from './explore.ts';
import type { TriedLamp } from './observe-sequence.ts';

export interface RigExploration
  extends Pick<
    ExploreRequest,
    'seed' | 'seconds' | 'sequences' | 'corpus' | 'first' | 'onProgress' | 'onDeviation'
  > {
  readonly bench: Bench;
  /** The lamp that every sequence is tried on first. */
  readonly simulated: TriedLamp;
  readonly terms: BenchTerms;
  onBenchError(text: string): void;
}

/** What a search on a bench found, and what never came to it. */
export interface RigExploreResult extends ExploreResult {
  /** Sequences that were left out, by reason. */
  readonly leftOut: ReadonlyMap<string, number>;
  /** Verdicts on what was carried out, with what stands open; figures stand as #. */
  readonly endings: ReadonlyMap<string, number>;
  readonly benchErrors: number;
  /** Why it ended before its time; null where it did not. */
  readonly cutShort: string | null;
}

/** Most tries for making one deviation small: each takes the rig's time. */
const shrinkTries = 25;
const retries = 1;
/** s that instruments that have gone are waited for. */
const patience = 600;
/** So many bench errors in a row end a search: the bench wants mending. */
const mostErrors = 5;
/** Sequences one after another that a bench cannot have: nothing of what may be done with this lamp is left. */
const mostLeftOut = 2000;

/** Searches on a bench, one sequence after another. Throws a Complaint where rig or lamp cannot be used. */
export async function exploreOnRig(
  request: RigExploration,
  use: RigUse,
): Promise<RigExploreResult> {
  const { bench, terms } = request;
  const plan = benchPlan([{ set: { level: '1 %' } }], { ...bench, terms });
  if (!plan) throw new Error('a sequence of one step has to be a claim');
  const files = { ...bench, plans: [plan] };
  const tested = { build: undefined, serial: undefined };
  const rig = await prepareRig(files, { flashingOk: terms.flashingOk, patience, tested }, use);
  try {
    refuseUnprovable(rig);
    return await new BenchSearch(request, rig, use.signal).toTheEnd();
  } finally {
    await rig.lane.safe();
    await rig.release();
  }
}

function refuseUnprovable({ unprovable }: PreparedRig): void {
  const [why] = unprovable.values();
  if (why === undefined) return;
  throw new Complaint('bad-file', `the light cannot be held against the model on this rig: ${why}`);
}

class BenchSearch {
  readonly #request: RigExploration;
  readonly #signal: AbortSignal;
  readonly #lane: PreparedRig['lane'];
  readonly #search: Search;
  readonly #tries: BenchTries;
  readonly #began = performance.now();
  readonly #found: TimedDeviation[] = [];
  readonly #leftOut = new Map<string, number>();
  readonly #endings = new Map<string, number>();
  #carriedOut = 0;
  #errors = 0;
  #errorsInARow = 0;
  #leftOutInARow = 0;

  constructor(request: RigExploration, { lane }: PreparedRig, signal: AbortSignal) {
    const { bench, simulated, terms, seed, corpus } = request;
    this.#request = request;
    this.#signal = signal;
    this.#lane = lane;
    const { rig } = bench;
    const lamp = { ...bench.lamp, links: linksOf(bench) };
    const isOver = (): boolean => this.#elapsed() >= request.seconds;
    const toTry = { lane, lamp, rig, simulated, terms, seed, retries, isOver };
    this.#tries = new BenchTries(toTry, this, signal);
    this.#search = new Search({ lamp, seed, corpus, shrinkTries }, this.#tries.carryOut);
  }

  async toTheEnd(): Promise<RigExploreResult> {
    const { first } = this.#request;
    let cutShort = this.#over();
    while (cutShort === undefined) {
      this.#tries.anew();
      const found = await this.#search.next();
      if (found) this.#deviated(found);
      this.#request.onProgress(this.#progress());
      cutShort = first && this.#found.length > 0 ? null : this.#over();
    }
    return {
      ...this.#progress(),
      found: this.#found,
      claims: [],
      kinds: this.#search.kinds,
      corpus: this.#search.corpus,
      leftOut: this.#leftOut,
      endings: this.#endings,
      benchErrors: this.#errors,
      cutShort,
    };
  }

  tried({ verdict, reason, findings }: ConditionRecord): void {
    const open = findings.find((finding) => finding.verdict === 'inconclusive');
    const what = verdict === 'inconclusive' ? `: ${open?.reason ?? reason ?? ''}` : '';
    const ending = `${verdict}${what.replace(/-?\d[\d.e+-]*/g, '#')}`;
    this.#endings.set(ending, (this.#endings.get(ending) ?? 0) + 1);
    this.#carriedOut++;
    if (verdict !== 'error') this.#errorsInARow = 0;
    this.#leftOutInARow = 0;
  }

  leftOut(why: string): void {
    this.#leftOutInARow++;
    this.#leftOut.set(why, (this.#leftOut.get(why) ?? 0) + 1);
  }

  benchError(text: string): void {
    this.#errors++;
    this.#errorsInARow++;
    this.#request.onBenchError(text);
  }

  /** Undefined while it goes on; why it ended early, or null where its time is over. */
  #over(): string | null | undefined {
    const { seconds, sequences } = this.#request;
    const lost = this.#lane.lost?.() ?? null;
    if (lost !== null) return lost;
    if (this.#errorsInARow >= mostErrors) return `${mostErrors} bench errors in a row`;
    if (this.#leftOutInARow >= mostLeftOut)
      return `${mostLeftOut} sequences in a row that are not for a bench; allow more light or longer ones`;
    const isOver = this.#elapsed() >= seconds || this.#carriedOut >= sequences;
    return isOver || this.#signal.aborted ? null : undefined;
  }

  #deviated(found: FoundDeviation): void {
    const timed = { ...found, after: this.#elapsed(), ofReference: false };
    this.#found.push(timed);
    this.#request.onDeviation(timed);
  }

  #elapsed(): number {
    return (performance.now() - this.#began) / 1000;
  }

  #progress() {
    return {
      sequences: this.#carriedOut,
      seconds: this.#elapsed(),
      reached: this.#search.reached,
      deviations: this.#found.length,
    };
  }
}

/** Links that the rig carries. */
function linksOf({ lamp, rig }: Bench): Bench['lamp']['links'] {
  const carried = Object.entries(lamp.links).filter(([link]) => Object.hasOwn(rig.links, link));
  return Object.fromEntries(carried) as Bench['lamp']['links'];
}
