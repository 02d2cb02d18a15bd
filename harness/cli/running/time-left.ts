import { sum } from 'd3-array';
import type { ExpectedCondition } from '../../run/engine/events.ts';

interface Begun {
  readonly spec: string;
  readonly key: string;
  readonly lane: number;
  /** s, on the clock of whoever tells. */
  readonly at: number;
}

/** What has ended of a claim, or of all: seconds that were expected, and that it took. */
interface Taken {
  readonly expected: number;
  readonly took: number;
}

/** Share of the whole that counts as taken just as expected: the first conditions run in cold code, and say little. */
const priorShare = 0.05;
/** A condition that took more than so many times what its like took is one of a kind: the rest will not. */
const outlier = 2;
/** Nothing is said before so much of the whole has ended. */
const leastShare = 0.04;
/** A rise by less is the doubt of the guess, and not shown. */
const doubt = 0.25;

/**
 * How long a run will still take. Each condition that is left costs what was expected of it, times how much longer those of
 * its claim took than expected, or those of all claims where none of its own has ended.
 */
export class TimeLeft {
  #open: ExpectedCondition[];
  readonly #whole: number;
  readonly #ended: { readonly took: number; readonly expected: number }[] = [];
  readonly #claims = new Map<string, Taken>();
  readonly #lanes = new Set<number>();
  #running: Begun[] = [];
  #shown = Number.POSITIVE_INFINITY;

  constructor(expected: readonly ExpectedCondition[]) {
    this.#open = [...expected];
    this.#whole = sum(expected.map(({ cost }) => cost));
  }

  begun(condition: Begun): void {
    this.#running.push(condition);
    this.#lanes.add(condition.lane);
  }

  ended({ spec, key }: Pick<Begun, 'spec' | 'key'>, now: number): void {
    const isMeant = (own: { readonly spec: string; readonly key: string }): boolean =>
      own.spec === spec && own.key === key;
    const begun = this.#running.find(isMeant);
    const plan = this.#open.find(isMeant);
    if (!begun || !plan) return;
    this.#running = this.#running.filter((own) => own !== begun);
    this.#open = this.#open.filter((own) => own !== plan);
    const took = now - begun.at;
    this.#ended.push({ took, expected: plan.cost });
    const before = this.#claims.get(spec) ?? { expected: 0, took: 0 };
    this.#claims.set(spec, { expected: before.expected + plan.cost, took: before.took + took });
  }

  /** s; null while nothing is known. In a healthy run it does not rise. */
  left(now: number): number | null {
    const done = sum(this.#ended.map(({ expected }) => expected));
    if (done < leastShare * this.#whole || this.#lanes.size === 0) return null;
    const guess = this.#guess(now);
    if (guess < this.#shown || guess > (1 + doubt) * this.#shown) this.#shown = guess;
    return this.#shown;
  }

  #guess(now: number): number {
    const speed = this.#slowness();
    const costOf = ({ spec, cost }: ExpectedCondition): number => {
      const own = this.#claims.get(spec);
      return cost * (own ? own.took / own.expected : speed);
    };
    const running = this.#running.map(({ spec, key, at }) => {
      const plan = this.#open.find((own) => own.spec === spec && own.key === key);
      const cost = plan ? costOf(plan) : 0;
      return { cost, left: Math.max(0, cost - (now - at)) };
    });
    const open = sum(this.#open.map(costOf)) - sum(running.map(({ cost }) => cost));
    return (open + sum(running.map(({ left }) => left))) / this.#lanes.size;
  }

  /** How many times longer than expected conditions take; those that are one of a kind count as their like. */
  #slowness(): number {
    const prior = priorShare * this.#whole;
    const usual = weightedMedian([
      { value: 1, weight: Math.sqrt(prior) },
      ...this.#ended.map(({ took, expected }) => ({
        value: took / expected,
        weight: Math.sqrt(expected),
      })),
    ]);
    const took = this.#ended.map((own) => Math.min(own.took, outlier * usual * own.expected));
    return (sum(took) + prior) / (sum(this.#ended.map(({ expected }) => expected)) + prior);
  }
}

function weightedMedian(
  points: readonly { readonly value: number; readonly weight: number }[],
): number {
  const half = sum(points.map(({ weight }) => weight)) / 2;
  let reached = 0;
  for (const { value, weight } of points.toSorted((a, b) => a.value - b.value)) {
    reached += weight;
    if (reached >= half) return value;
  }
  return 1;
}
