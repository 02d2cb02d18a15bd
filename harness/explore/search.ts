import fc from 'fast-check';
import type { Lamp } from '../bench/lamp.ts';
import { seededRandom } from '../plan/seeded-random.ts';
import type { WrittenStep } from '../plan/verbs/verb.ts';
import { changeSteps } from './change-steps.ts';
import { coarseKind, type Deviation } from './deviation.ts';
import { sequences } from './draw/sequences.ts';
import { linkOf } from './link-of.ts';
import { shrinkSteps } from './shrink-steps.ts';

/** What came of one sequence. */
export interface Tried {
  readonly deviation: Deviation | null;
  /** What it reached, as anything that can be compared: edges of the firmware, or kinds of output. */
  readonly reached: Iterable<string | number>;
}

/** Carries out a sequence on a fresh lamp; null where it cannot be carried out at all. */
export type TrySteps = (steps: readonly WrittenStep[]) => Promise<Tried | null>;

/** A kind of deviation with the fewest steps that were found for it. */
export interface FoundDeviation {
  readonly kind: string;
  readonly steps: readonly WrittenStep[];
  readonly deviation: Deviation;
  /** As it was first found. */
  readonly first: readonly WrittenStep[];
  /** Which sequence of the search it was, counted from 1. */
  readonly sequence: number;
}

export interface SearchOptions {
  readonly lamp: Lamp;
  readonly seed: number;
  /** Sequences to begin with, for instance of an earlier search. */
  readonly corpus: readonly (readonly WrittenStep[])[];
  /** Most tries for making one deviation small. */
  readonly shrinkTries: number;
}

/** Sequences that reached something new, at most: the oldest go. */
const mostKept = 2000;
/** Steps in one sequence, at most. */
const longest = 40;
const drawnAtOnce = 50;

/**
 * A search that never ends by itself: draws sequences, changes those that reached something new, and makes what deviates small. The same
 * seed gives the same search.
 */
export class Search {
  readonly #options: SearchOptions;
  readonly #try: TrySteps;
  readonly #draw: () => number;
  readonly #reached = new Set<string | number>();
  readonly #kept: (readonly WrittenStep[])[];
  readonly #known = new Map<string, number>();
  #fresh: (readonly WrittenStep[])[] = [];
  #batches = 0;
  #waiting: (readonly WrittenStep[])[];
  count = 0;

  constructor(options: SearchOptions, trySteps: TrySteps) {
    this.#options = options;
    this.#try = trySteps;
    this.#draw = seededRandom(options.seed);
    this.#kept = [];
    this.#waiting = [...options.corpus];
  }

  /** Sequences that reached something new. */
  get corpus(): readonly (readonly WrittenStep[])[] {
    return this.#kept;
  }

  /** How many different things have been reached. */
  get reached(): number {
    return this.#reached.size;
  }

  /** How often each kind of deviation was met. */
  get kinds(): ReadonlyMap<string, number> {
    return this.#known;
  }

  /** Tries one more sequence; a deviation of a kind that is new comes back small. */
  async next(): Promise<FoundDeviation | null> {
    const steps = this.#choose();
    const tried = await this.#try(steps);
    this.count++;
    if (!tried) return null;
    if (this.#isNew(tried.reached)) this.#keep(steps);
    if (!tried.deviation) return null;
    const kind = coarseKind(tried.deviation);
    const times = (this.#known.get(kind) ?? 0) + 1;
    this.#known.set(kind, times);
    return times === 1 ? this.#shrink(steps, tried.deviation) : null;
  }

  /** The light, an answer or the firmware has to fail the same way: small sequences of another kind are other deviations. */
  async #shrink(first: readonly WrittenStep[], deviation: Deviation): Promise<FoundDeviation> {
    const sequence = this.count;
    let last = deviation;
    const stillDoes = async (candidate: readonly WrittenStep[]): Promise<boolean> => {
      const tried = await this.#try(candidate);
      if (tried?.deviation?.kind !== deviation.kind) return false;
      last = tried.deviation;
      return true;
    };
    const steps = await shrinkSteps(first, stillDoes, this.#options.shrinkTries);
    const kind = coarseKind(last);
    // What it shrank to counts as known as well.
    if (!this.#known.has(kind)) this.#known.set(kind, 0);
    return { kind, steps, deviation: last, first, sequence };
  }

  #choose(): readonly WrittenStep[] {
    const given = this.#waiting.shift();
    if (given) return given;
    const fresh = this.#drawn();
    // Sequences of one link are not crossed with those of another: see `sequences`.
    const link = linkOf(fresh);
    const kept = this.#kept.filter((steps) => linkOf(steps) === link);
    if (kept.length === 0 || this.#draw() < 0.5) return fresh;
    return changeSteps(kept, fresh, this.#draw, longest);
  }

  #drawn(): readonly WrittenStep[] {
    const next = this.#fresh.pop();
    if (next) return next;
    const seed = (this.#options.seed + 7919 * this.#batches++) | 0;
    this.#fresh = fc.sample(sequences(this.#options.lamp), { seed, numRuns: drawnAtOnce });
    return this.#drawn();
  }

  #isNew(reached: Iterable<string | number>): boolean {
    const before = this.#reached.size;
    for (const one of reached) this.#reached.add(one);
    return this.#reached.size > before;
  }

  #keep(steps: readonly WrittenStep[]): void {
    this.#kept.push(steps);
    if (this.#kept.length > mostKept) this.#kept.shift();
  }
}
