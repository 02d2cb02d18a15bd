import { type Piece, still } from './course.ts';
import { essence } from './essence.ts';
import { same } from './same.ts';
import {
  type Moment,
  noShortFrames,
  type PossibleAnswer,
  type Reaction,
  type World,
} from './world.ts';

/** More worlds than this are not told apart: from there on nothing is known until a command says it all. */
const mostWorlds = 24;

const tooMany = 'more undecided cases at once than the model tells apart';

/** Worlds after a step, and what the lamp may have answered in any of them. */
export interface Stepped {
  readonly worlds: readonly World[];
  readonly answers: readonly PossibleAnswer[];
}

/** Every world through a step. Worlds that have the same future from there on are one again. */
export function stepWorlds(
  worlds: readonly World[],
  { at, allowances }: Pick<Moment, 'at' | 'allowances'>,
  step: (world: World) => readonly Reaction[],
): Stepped {
  const reactions = worlds.flatMap((world) => step(world));
  const answers = distinct(reactions.flatMap(({ answers: own }) => own ?? []));
  return {
    worlds: merged(
      reactions.map(({ world }) => world),
      (world) => essence(world, at, allowances),
    ),
    answers,
  };
}

function merged(worlds: readonly World[], essenceOf: (world: World) => unknown): readonly World[] {
  const [first] = worlds;
  if (worlds.length === 1 && first) return first.doubt === null ? worlds : [certain(first)];
  const essences: unknown[] = [];
  const kept = worlds.filter((world) => {
    const own = essenceOf(world);
    const known = essences.some((other) => same(own, other));
    if (!known) essences.push(own);
    return !known;
  });
  const [only] = kept;
  if (kept.length === 1 && only) return [certain(only)];
  if (kept.length <= mostWorlds || !only) return kept;
  return [
    {
      ...nothingKnown(only, tooMany),
      gearLost: tooMany,
      streamsLost: kept.some(hasStream) ? tooMany : null,
      doubt: null,
      repeatsCount: null,
      retold: null,
      shortFrames: noShortFrames,
    },
  ];
}

/** A stream has spoken since the power came. */
function hasStream({ slots, sacn, streamsLost }: World): boolean {
  return slots.values.length > 0 || sacn.followed !== null || streamsLost !== null;
}

/** Nothing is known of the light any more, but for what a later command says. */
export function nothingKnown(world: World, why: string): World {
  const anything = { low: 0, high: 1 };
  const mix = world.mix.map(() => anything);
  const light: Piece = {
    ...world.light,
    over: 0,
    level: still(anything),
    channels: mix.map(() => still(anything)),
    why,
  };
  const remembered = { level: anything, mix, at: world.remembered.at };
  return {
    ...world,
    light,
    mix,
    mixOnWay: null,
    remembered,
    before: remembered,
    lost: why,
  };
}

function certain(world: World): World {
  return world.doubt === null ? world : { ...world, doubt: null };
}

function distinct<T>(values: readonly T[]): readonly T[] {
  const kept: T[] = [];
  for (const value of values) if (!kept.some((other) => same(value, other))) kept.push(value);
  return kept;
}

/** Pieces of light that are possible now, each once. */
export function piecesOf(worlds: readonly World[]): readonly Piece[] {
  return distinct(worlds.map(({ light }) => light));
}

/** Both of two courses of things, since nothing says which. */
export function fork(why: string, ...worlds: readonly World[]): readonly World[] {
  return worlds.map((world) => ({ ...world, doubt: world.doubt ?? why }));
}
