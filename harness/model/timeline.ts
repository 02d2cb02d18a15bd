import type { Allowances } from './allowances.ts';
import type { Band } from './band.ts';
import { courseWithin, type Piece } from './course.ts';
import { passing, slackOf, starting } from './light.ts';
import type { World } from './world.ts';
import { piecesOf } from './worlds.ts';

/** From one change to the next: what the light may be doing. */
interface Epoch {
  readonly from: number;
  /** Until then the light may still do what it did before. */
  readonly settled: number;
  readonly pieces: readonly Piece[];
  /** It may give less than the pieces say. */
  readonly strained: boolean;
  /** Nothing is known. */
  readonly lost: boolean;
  readonly why: string | null;
  /** Colour temperature that the lamp mixes by itself, mirek; null where none was commanded, or where that is not known. */
  readonly mirek: number | null;
}

/** A light that stands still, and what colour was asked for. */
export interface Rest {
  readonly mirek: number | null;
}

/** Bounds that hold from one instant until another, s. */
interface Resting {
  readonly from: number;
  readonly until: number;
  readonly band: Band;
}

/** Everything that the light may do, in order of time. */
export class Timeline {
  readonly #epochs: Epoch[] = [];
  readonly #allowances: Allowances;
  #cursor = 0;
  /** By channel, what was found last where the light rests: it is asked for at thousands of instants. */
  readonly #resting: Resting[] = [];

  constructor(allowances: Allowances) {
    this.#allowances = allowances;
  }

  /** The worlds as they are from an instant on. */
  note(at: number, worlds: readonly World[]): void {
    this.#resting.length = 0;
    const pieces = piecesOf(worlds);
    const last = this.#epochs.at(-1);
    const fresh = pieces.filter((piece) => !last?.pieces.includes(piece));
    // What was on its way and may be still is so beside what is new.
    const onWay = fresh.length < pieces.length ? (last?.settled ?? at) : at;
    const own = epochOf(at, worlds, { pieces, fresh });
    const epoch = { ...own, settled: Math.max(own.settled, onWay) };
    if (last && fresh.length === 0 && sameEpoch(last, epoch)) return;
    // Of a light that was there before, and another one has been since, nothing starts any more.
    const passing = fresh.flatMap((piece) => starting(piece, at) ?? []);
    if (last && epoch.pieces.some(({ glide }) => glide !== null)) this.#prolong(last, epoch);
    if (passing.length > 0)
      this.#epochs.push({ ...epochOf(at, worlds, { pieces: passing, fresh: passing }) });
    this.#epochs.push(epoch);
  }

  /** A glide that comes before the light is where it was to be may start from what was there before both. */
  #prolong(last: Epoch, { from, settled }: Epoch): void {
    const fades = last.pieces.some(({ over }) => over > 0);
    if (fades || last.settled <= from || last.settled >= settled) return;
    this.#epochs[this.#epochs.length - 1] = { ...last, settled };
  }

  levelAt(place: number, at: number): Band {
    const known = this.#resting[place];
    if (known && at >= known.from && at < known.until) return known.band;
    const found: Bounds = { low: Number.POSITIVE_INFINITY, high: Number.NEGATIVE_INFINITY };
    const newest = this.#at(at);
    for (let index = newest; index >= 0; index--) {
      const epoch = this.#epochs[index];
      if (!epoch) break;
      this.#widen(found, epoch, place, at);
      if (epoch.settled < at || epoch.settled === epoch.from) break;
    }
    const band = this.#tolerated(found);
    if (this.#rests(newest, at)) {
      const until = this.#epochs[newest + 1]?.from ?? Number.POSITIVE_INFINITY;
      this.#resting[place] = { from: at, until, band };
    }
    return band;
  }

  /** Nothing of the newest epoch is on its way any more, nor anything of those before it: so it stays until the next one. */
  #rests(index: number, at: number): boolean {
    const epoch = this.#epochs[index];
    if (!epoch || !(epoch.settled < at || epoch.settled === epoch.from)) return false;
    const { tick } = this.#allowances;
    return epoch.pieces.every(
      (piece) =>
        piece.dilation < 1 &&
        Math.max(piece.from, at - piece.latency - slackOf(piece, at, tick)) >=
          piece.from + piece.over &&
        passing(piece, at).length === 0,
    );
  }

  whyWide(at: number): string | null {
    for (let index = this.#at(at); index >= 0; index--) {
      const epoch = this.#epochs[index];
      if (!epoch || epoch.why !== null) return epoch?.why ?? null;
      if (epoch.settled < at) break;
    }
    return null;
  }

  /** Null where the light may still be on its way at that instant, or where nothing is known of it. */
  restAt(at: number): Rest | null {
    const epoch = this.#epochs[this.#at(at)];
    if (!epoch || epoch.lost || epoch.strained || epoch.settled >= at) return null;
    const { tick } = this.#allowances;
    const rests = epoch.pieces.every(
      (piece) => at >= piece.from + piece.over + piece.latency + slackOf(piece, at, tick),
    );
    return rests ? { mirek: epoch.mirek } : null;
  }

  leadAt(at: number): number {
    const pieces = this.#epochs[this.#at(at)]?.pieces ?? [];
    return Math.max(-1, ...pieces.filter(({ from }) => from <= at).map(({ lead }) => lead));
  }

  /** Index of the epoch of an instant. It is asked for in rising order: the last one is the place to look first. */
  #at(at: number): number {
    const start = (index: number) => this.#epochs[index]?.from ?? Number.POSITIVE_INFINITY;
    if (start(this.#cursor) > at) this.#cursor = this.#search(at);
    for (let steps = 0; start(this.#cursor + 1) <= at; steps++) {
      if (steps === 8) this.#cursor = this.#search(at);
      else this.#cursor++;
    }
    return this.#cursor;
  }

  #search(at: number): number {
    let [low, high] = [0, this.#epochs.length];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((this.#epochs[middle]?.from ?? 0) <= at) low = middle;
      else high = middle;
    }
    return low;
  }

  #widen(found: Bounds, { pieces, strained, lost }: Epoch, place: number, at: number): void {
    if (lost) include(found, anyLight);
    for (const piece of lost ? [] : pieces) {
      const course = piece.channels[place];
      if (!course) {
        include(found, anyLight);
        continue;
      }
      const slack = slackOf(piece, at, this.#allowances.tick);
      const first = Math.max(piece.from, at - piece.latency - slack);
      const own = courseWithin(piece, course, first, at + slack);
      include(found, own);
      // A glide that began in the middle of a fade comes from where that was.
      for (const { fading, channels } of passing(piece, at))
        if (fading) include(found, channels[place] ?? own);
    }
    if (strained) found.low = Math.min(found.low, 0);
  }

  #tolerated({ low, high }: Bounds): Band {
    const { levelTolerance, lightFloor } = this.#allowances;
    return {
      low: Math.max(0, low / (1 + levelTolerance) - lightFloor),
      high: high * (1 + levelTolerance) + lightFloor,
    };
  }
}

/** Bounds that grow as more is found that the light may do. */
interface Bounds {
  low: number;
  high: number;
}

const anyLight: Band = { low: 0, high: 1 };

function include(found: Bounds, { low, high }: Band): void {
  if (low < found.low) found.low = low;
  if (high > found.high) found.high = high;
}

function epochOf(
  from: number,
  worlds: readonly World[],
  { pieces, fresh }: { readonly pieces: readonly Piece[]; readonly fresh: readonly Piece[] },
): Epoch {
  const said = <T>(of: (world: World) => T | null): T | null =>
    worlds.map(of).find((own) => own !== null) ?? null;
  const lost = said(
    (world) => world.lost ?? (isOff(world) ? null : (world.streamsLost ?? world.altered)),
  );
  const strain = said((world) => world.strain ?? world.heat);
  const doubt = pieces.length > 1 ? said((world) => world.doubt) : null;
  const piece = pieces.find(({ why }) => why !== null)?.why ?? null;
  return {
    from,
    settled: from + Math.max(0, ...fresh.map(({ latency }) => latency)),
    pieces,
    strained: strain !== null,
    lost: lost !== null,
    why: lost ?? strain ?? doubt ?? piece,
    mirek: mirekOf(worlds),
  };
}

function mirekOf(worlds: readonly World[]): number | null {
  const all = worlds.map(({ gear }) => {
    const { active, colourArrives } = gear.registers;
    return active?.is === 'temperature' && colourArrives !== null ? active.mirek : null;
  });
  const [first = null] = all;
  return all.every((own) => own === first) ? first : null;
}

function isOff({ power, strain }: World): boolean {
  return power.lostAt !== null && strain === null;
}

function sameEpoch(one: Epoch, other: Epoch): boolean {
  return (
    one.pieces.length === other.pieces.length &&
    one.strained === other.strained &&
    one.lost === other.lost &&
    one.mirek === other.mirek &&
    one.why === other.why
  );
}
