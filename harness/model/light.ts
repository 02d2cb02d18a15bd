import { type Band, exactly, hull, isExact, product } from './band.ts';
import { type Course, courseWithin, fadeCourse, type Passed, type Piece, still } from './course.ts';
import { lightOf } from './dali/levels.ts';
import { same } from './same.ts';
import type { Moment, Remembered, World } from './world.ts';

export interface Target {
  /** Relative light of the dim level. */
  readonly level: Band;
  readonly mix: readonly Band[];
}

/** How the light goes to its target. */
export interface Manner {
  /** s */
  readonly over: number;
  readonly shape: Piece['shape'];
  readonly latency: number;
  readonly dilation: number;
  /** Relative light of the dim level that a dark end of a fade counts as; null is the bottom of the curve, of the dim level or of each channel. */
  readonly floor: number | null;
  readonly why: string | null;
  /** Commanded on the DALI bus. */
  readonly onBus: boolean;
  /** The light may take the latency to go there. */
  readonly glides?: boolean;
  /** Where it is another instant than that of the event, s. */
  readonly from?: number;
}

/** The light leaves for the target, and the lamp remembers it. */
export function moveLight(world: World, target: Target, manner: Manner, moment: Moment): World {
  const from = manner.from ?? moment.at;
  const { latency, dilation, shape, over } = manner;
  const level = levelCourse(world, target, manner, moment);
  const channels = target.mix.map((own, index) =>
    channelCourse(world, index, product(target.level, own), { own, manner, moment }),
  );
  const end = { level: level.final, channels: channels.map(({ final }) => final) };
  const passed = passedBy(world, end, moment, latency);
  const piece: Piece = {
    ...{ lead: moment.of, from, over, shape, latency, dilation, level, channels },
    onBus: manner.onBus,
    glide: manner.glides ? passed : null,
    replaces: passed ?? [],
    why: manner.why ?? inherited(world, target),
  };
  const light = sameRest(world.light, piece, from) ? world.light : piece;
  const mixOnWay = over > 0 ? crossfade(world, target.mix, moment) : null;
  const moved = { ...remember(world, target, moment), light, mix: target.mix, mixOnWay };
  return { ...moved, lost: null };
}

/** The mixes between the one that there is and another; null where both are the same. */
function crossfade(world: World, mix: readonly Band[], moment: Moment): readonly Band[] | null {
  const now = mixNow(world, moment);
  return same(now, mix) ? null : mix.map((own, index) => hull(own, now[index] ?? own));
}

/** The mix as a command that changes only the level finds it: in a crossfade it may stand still, go on, or be there. */
export function mixNow(world: World, moment: Moment): readonly Band[] {
  const { mix, mixOnWay } = world;
  return mixOnWay !== null && isFading(world, moment) ? mixOnWay : mix;
}

/** A level that is known no better, or intensities that are not, say why. */
function inherited(world: World, { level, mix }: Target): string | null {
  if (mix.some((own) => !isExact(own))) return world.light.why ?? inCrossfade;
  return isExact(level) ? null : world.light.why;
}

const inCrossfade =
  'a level came in the middle of a crossfade: the mix may stand still, go on, or be there';

function levelCourse(world: World, target: Target, manner: Manner, moment: Moment): Course {
  if (manner.over === 0) return still(target.level);
  const floor = darkEnd(manner, moment);
  return fadeCourse(levelNow(world, moment, manner.latency), target.level, floor);
}

/** What a dark end of a fade counts as: MIN, or the bottom of the curve. A fade that is straight in light may as well come from the dark itself. */
function darkEnd({ shape, floor }: Manner, { lamp }: Moment): Band {
  const high = floor ?? lamp.curve.bottom;
  return { low: shape === 'geometric' ? high : 0, high };
}

interface Leaving {
  readonly own: Band;
  readonly manner: Manner;
  readonly moment: Moment;
}

function channelCourse(
  world: World,
  index: number,
  end: Band,
  { own, manner, moment }: Leaving,
): Course {
  if (manner.over === 0) return still(end);
  const start = channelNow(world, index, moment, manner.latency);
  const bottom = darkEnd({ ...manner, floor: null }, moment);
  // A floor follows the intensity, where the lamp keeps its mix, or each channel has its own; one that may leave the mix goes out at the bottom.
  const kept = product(manner.floor === null ? bottom : darkEnd(manner, moment), own);
  const floor =
    own.high === 0 ? bottom : manner.floor === null || own.low === 0 ? hull(bottom, kept) : kept;
  return fadeCourse(start, end, floor);
}

/** Light of the dim level as a command of this instant finds it: commands keep their order, so that only a fade is on its way, or a glide, or the light of a lamp that starts. */
export function levelNow(world: World, moment: Moment, latency: number): Band {
  const { light } = world;
  const now = courseNow(light, light.level, moment, latency);
  const start = starting(light, moment.at);
  if (start) return hull(now, start.level.final);
  return light.glide ? hull(now, ...passing(light, moment.at).map(({ level }) => level)) : now;
}

/** What a lamp that may still start shows. */
export function starting({ via, from, latency }: Piece, at: number): Piece | null {
  return via && at < from + latency ? via : null;
}

function courseNow(
  light: Piece,
  course: Course,
  { at, allowances }: Moment,
  latency: number,
): Band {
  const slack = slackOf(light, at, allowances.tick) + latency;
  return courseWithin(light, course, Math.max(light.from, at - slack), at + slack);
}

/** Of lights that were replaced, those that may still be seen at an instant, s. */
export function stillSeen(replaced: readonly Passed[], at: number): readonly Passed[] {
  return replaced.filter(({ until }) => until > at);
}

/** What the light may still come from. */
export function passing({ glide }: Piece, at: number): readonly Passed[] {
  return stillSeen(glide ?? [], at);
}

function channelNow({ light }: World, index: number, moment: Moment, latency: number): Band {
  const course = light.channels[index] ?? still(exactly(0));
  const now = courseNow(light, course, moment, latency);
  const start = starting(light, moment.at)?.channels[index];
  if (start) return hull(now, start.final);
  if (!light.glide) return now;
  return hull(now, ...passing(light, moment.at).map(({ channels }) => channels[index] ?? now));
}

/**
 * What a glide of this instant may come from as well: a jump that came just before may not have been shown, and a glide that it
 * breaks off may have left the light on its way. That counts for one glide, so that a stream of frames does not keep what is long gone.
 */
function unshown({ glide, replaces }: Piece, at: number, latency: number): readonly Passed[] {
  return stillSeen(glide ?? replaces, at).map((own) =>
    own.brokenOff
      ? own
      : { ...own, until: Math.max(own.until, at + latency), brokenOff: glide !== null },
  );
}

/** What a glide of this instant to some light comes from; null where that is the same light. */
function passedBy(
  world: World,
  target: Omit<Passed, 'until' | 'fading' | 'brokenOff'>,
  moment: Moment,
  latency: number,
): readonly Passed[] | null {
  const { light } = world;
  const now = (course: Course) => courseNow(light, course, moment, latency);
  const last = { level: now(light.level), channels: light.channels.map(now) };
  const before = unshown(light, moment.at, latency);
  const fading = isFading(world, moment);
  if (!same(last, target))
    return [...before, { ...last, fading, until: moment.at + latency, brokenOff: false }];
  return before.length > 0 ? before : null;
}

/** How far a fade may be ahead or behind, s. */
export function slackOf({ from, dilation, over }: Piece, at: number, tick: number): number {
  return over === 0 ? 0 : tick + dilation * Math.max(0, at - from);
}

/** Whether the fade may still be on its way. */
export function isFading({ light }: World, { at, allowances }: Moment): boolean {
  return light.over > 0 && at - slackOf(light, at, allowances.tick) < light.from + light.over;
}

/** Since when the light has stood still, or is going to, s: firmware that spares its memory stores a level then. */
export function restsSince({ light, remembered }: World): number {
  const { from, over, dilation } = light;
  return over > 0 ? Math.max(remembered.at, from + over * (1 + dilation)) : remembered.at;
}

/** Whether the light may still be gliding to slots. */
export function isGliding({ light }: World, { at }: Moment): boolean {
  return passing(light, at).length > 0;
}

/** Fade stopped where it is: the bounds of the instant, of every channel. */
export function stopLight(world: World, manner: Omit<Manner, 'over' | 'floor'>, moment: Moment) {
  if (!isFading(world, moment)) return world;
  const level = levelNow(world, moment, manner.latency);
  const channels = world.light.channels.map((_, index) =>
    still(channelNow(world, index, moment, manner.latency)),
  );
  const light: Piece = {
    lead: moment.of,
    from: moment.at,
    over: 0,
    shape: manner.shape,
    latency: manner.latency,
    dilation: manner.dilation,
    level: still(level),
    channels,
    glide: null,
    replaces: [],
    onBus: manner.onBus,
    why: world.light.why,
  };
  const mix = mixNow(world, moment);
  return { ...remember(world, { level, mix }, moment), light, mix, mixOnWay: null };
}

function sameRest(old: Piece, next: Piece, at: number): boolean {
  const rests = old.over === 0 && next.over === 0 && next.via === undefined;
  const shown = old.latency <= next.latency || at >= old.from + old.latency;
  return rests && shown && old.why === next.why && sameEnd(old, next);
}

/** Both arrive at the same light. */
export function sameEnd(old: Piece, next: Piece): boolean {
  return (
    sameCourse(old.level, next.level) &&
    next.channels.every((course, index) => sameCourse(old.channels[index], course))
  );
}

function sameCourse(one: Course | undefined, other: Course): boolean {
  return one?.final.low === other.final.low && one.final.high === other.final.high;
}

/** Before the light leaves for what is remembered: what it was to remember may not be stored before that was reached. */
function remember(world: World, { level, mix }: Target, { at, allowances }: Moment): World {
  const old = world.remembered;
  if (same(old.level, level) && same(old.mix, mix)) return world;
  const before = at - restsSince(world) >= allowances.storing ? old : hullOf(world.before, old);
  return { ...world, before, remembered: { level, mix, at } };
}

/** A light that may never be reached: who asked for it went before it had to be. Null where it is there. */
export function perhapsNever(world: World, { at }: Moment, why: string): World | null {
  const { light, remembered } = world;
  const replaced = stillSeen(light.replaces, at);
  if (at >= light.from + light.latency || replaced.length === 0) return null;
  const channels = light.channels.map(({ final }, place) =>
    still(hull(final, ...replaced.map((own) => own.channels[place] ?? final))),
  );
  const level = hull(light.level.final, ...replaced.map((own) => own.level));
  const mix = world.mix.map(() => ({ low: 0, high: 1 }));
  return {
    ...world,
    light: { ...light, from: at, level: still(level), channels, glide: null, replaces: [], why },
    mix,
    remembered: { ...remembered, level: hull(remembered.level, level), mix },
  };
}

/** Either of two memories. */
export function hullOf(one: Remembered, other: Remembered): Remembered {
  return {
    level: hull(one.level, other.level),
    mix: one.mix.map((own, index) => hull(own, other.mix[index] ?? own)),
    at: other.at,
  };
}

/** A level of another link than DALI, which may or may not be held between MIN and MAX of the gear. */
export function boundedByGear(world: World, level: Band): { level: Band; why: string | null } {
  const { min, max } = world.gear.settings;
  if (level.high === 0) return { level, why: null };
  const held = (value: number) => Math.min(lightOf(max), Math.max(lightOf(min), value));
  const within = level.low >= lightOf(min) * (1 - 1e-9) && level.high <= lightOf(max) * (1 + 1e-9);
  if (within) return { level, why: null };
  return {
    level: hull(level, { low: held(level.low), high: held(level.high) }),
    why: 'the level lies beyond MIN or MAX of the gear, which other links than DALI may or may not keep',
  };
}

/** Why a level below what the curve has is not known. */
export const belowBottom =
  'the level lies below the bottom of the dimming curve, which the lamp may raise it to';
