import type { HeardOf } from '../bench/heard.ts';
import { type Band, exactly, hull, isExact, product } from './band.ts';
import { type Piece, still } from './course.ts';
import { identifying } from './dali/configure.ts';
import { lightOf, mask } from './dali/levels.ts';
import { clearedRegisters } from './dali/new-gear.ts';
import { hullOf, isFading, levelNow, restsSince } from './light.ts';
import { noSources } from './slots/sacn-memory.ts';
import { noFrames } from './slots/slot-memory.ts';
import type { Moment, Reaction, World } from './world.ts';
import { fork, nothingKnown } from './worlds.ts';

/** Commands that come as the start-up ends may still find nobody, s. */
const startUpMargin = 0.05;

/** The supply has another voltage. Within its limits the lamp does not mind. */
export function hearSupply(
  world: World,
  { volts }: HeardOf<'supply'>,
  moment: Moment,
): readonly Reaction[] {
  const { low, high } = moment.lamp.supply;
  const told = { ...world, power: { ...world.power, volts } };
  const after =
    volts >= low
      ? returned(told, moment).map((one) => strained(one, volts > high ? tooHigh : null))
      : volts > 0
        ? [sagged(told, moment)]
        : gone(told, moment);
  return after.map((one) => ({ world: one }));
}

const tooHigh = 'the supply lies beyond the highest voltage of the lamp file';
const tooLow = 'the supply lies below the lowest voltage of the lamp file';

function strained(world: World, strain: string | null): World {
  return { ...world, strain };
}

function returned(world: World, moment: Moment): readonly World[] {
  const { lostAt, interrupted } = world.power;
  if (lostAt === null) return [moment.of === 0 ? switchedOn(world, moment) : world];
  const back = { ...world.power, lostAt: null, interrupted: null };
  const alive = { ...world, power: back };
  if (world.strain !== null) return fork(tooLow, alive, ...restart(alive, moment));
  const restarted = powerUp(alive, moment, true);
  if (!interrupted || moment.at - lostAt > moment.allowances.afterglow) return [restarted];
  return fork(shortGap, { ...interrupted, power: back }, restarted);
}

/** The story begins with the supply: the lamp starts with it, at the level that its file says that it leaves its maker with. */
function switchedOn(world: World, moment: Moment): World {
  const { light } = powerUp(world, moment, true);
  const { registers } = world.gear;
  const most = exactly(lightOf(world.gear.settings.max));
  const lastActive = hull(registers.lastActive, light.level.final, most);
  return { ...world, light, gear: { ...world.gear, registers: { ...registers, lastActive } } };
}

const shortGap = 'the gap of the supply is short: the lamp may have lived through it';

/** A voltage that the lamp is not made for: it may go on, or give up at any instant. */
function sagged(world: World, moment: Moment): World {
  const { lostAt } = world.power;
  if (lostAt !== null && world.strain !== null) return world;
  // Where it comes from nothing the lamp may start already.
  const started = lostAt === null ? world : powerUp(world, moment, true);
  const power = { ...started.power, lostAt: moment.at, interrupted: null };
  return strained({ ...started, power }, tooLow);
}

function gone(world: World, moment: Moment): readonly World[] {
  if (world.power.lostAt !== null && world.strain === null) return [world];
  const interrupted = strained(world, null);
  const power = { ...world.power, lostAt: moment.at, interrupted };
  return keptOnly(interrupted, moment).map((one) => ({
    ...one,
    power,
    lost: null,
    light: darkness(one, moment, moment.allowances.afterglow),
  }));
}

function darkness(world: World, moment: Moment, latency: number): Piece {
  const none = still(exactly(0));
  return {
    ...jump(world, moment, latency),
    level: none,
    channels: world.mix.map(() => none),
  };
}

function jump(world: World, { at, of }: Moment, latency: number) {
  const { shape } = world.light;
  return {
    lead: of,
    from: at,
    over: 0,
    shape,
    latency,
    dilation: 0,
    onBus: false,
    glide: null,
    replaces: [],
    why: null,
  };
}

/** The processor restarts: what it keeps in memory survives, and the light comes back as after power-on. */
export function restart(world: World, moment: Moment): readonly World[] {
  return keptOnly(world, moment).map((one) => powerUp(one, moment, null));
}

/** What survives the loss of power: what was set just before may not be stored yet, and a fade may leave either of its ends behind. */
function keptOnly(world: World, moment: Moment): readonly World[] {
  const { allowances, at } = moment;
  const unsure = isFading(world, moment) || at - restsSince(world) < allowances.storing;
  const kept = unsure ? hullOf(world.before, world.remembered) : world.remembered;
  const level = isFading(world, moment) ? hull(kept.level, levelNow(world, moment, 0)) : kept.level;
  const mix = world.mixOnWay && isFading(world, moment) ? world.mixOnWay : kept.mix;
  const remembered = { ...kept, level, mix };
  const one = { ...world, remembered, before: remembered };
  const { settings, until } = world.settingsBefore;
  if (at >= until) return [one];
  const forgetful = { ...one, gear: { ...one.gear, settings } };
  return fork(
    'a setting came so shortly before the power went that it may not be stored',
    one,
    forgetful,
  );
}

/** The lamp starts: POWER ON LEVEL, or the last level where that is MASK (IEC 62386-102 9.13, from memory). */
function powerUp(world: World, moment: Moment, powerCycleSeen: boolean | null): World {
  const { allowances, at, of } = moment;
  const { powerOnLevel, min, max } = world.gear.settings;
  const { level: last, mix } = world.remembered;
  const level = powerOnLevel === mask ? last : held(powerOnLevel, min, max);
  const { busPowered } = world.gear.registers;
  const registers = {
    // The last active level may be the one that the power brings back, or one of before.
    ...clearedRegisters(hull(last, exactly(lightOf(max)), level.high > 0 ? level : last)),
    powerCycleSeen,
    // Whether the level that the power brings back counts as one that was asked for, the standard does not say.
    limitError: isWithin(powerOnLevel, min, max) ? false : null,
    busPowered,
    busDown: busPowered ? null : { at, by: of },
  };
  const light: Piece = {
    ...jump(world, moment, allowances.startUp + allowances.latency.console),
    level: still(level),
    channels: mix.map((own) => still(product(level, own))),
    why: whyAfter(level, mix),
    via: darkness(world, moment, allowances.latency.console),
  };
  const started: World = {
    ...world,
    light,
    mix,
    mixOnWay: null,
    consoleRest: '',
    lost: world.lost === identifying ? null : world.lost,
    gear: { ...world.gear, registers },
    settingsBefore: { settings: world.gear.settings, until: Number.NEGATIVE_INFINITY },
    slots: { ...noFrames, firstSlot: world.slots.firstSlot },
    sacn: noSources,
    retold: null,
    // What a network interface does that lives through a restart is not known either.
    streamsLost: powerCycleSeen === null ? world.streamsLost : null,
    power: { ...world.power, deafUntil: at + moment.lamp.startUp + startUpMargin },
  };
  return world.gearLost === null ? started : nothingKnown(started, world.gearLost);
}

/** Why the light that comes back is not known exactly. */
function whyAfter(level: Band, mix: readonly Band[]): string | null {
  if (!isExact(level)) return 'the power went while the light was on its way, or just set';
  return mix.every(isExact) ? null : 'the mix was not known exactly as the power went';
}

function isWithin(level: number, min: number, max: number): boolean {
  return level === 0 || level === mask || (level >= min && level <= max);
}

function held(level: number, min: number, max: number): Band {
  return exactly(level === 0 ? 0 : lightOf(Math.min(max, Math.max(min, level))));
}

/** Air beyond the rating of the lamp file may make it dim itself. */
export function hearAir(
  world: World,
  { celsius }: HeardOf<'air'>,
  { lamp }: Moment,
): readonly Reaction[] {
  const rated = lamp.ambient;
  const beyond = rated !== undefined && (celsius < rated.lowest || celsius > rated.highest);
  const heat = beyond ? 'the air is colder or hotter than the lamp is rated for' : null;
  return [{ world: { ...world, heat } }];
}

/**
 * An event as a lamp takes it whose power may be on its way: nobody hears without power, and while the lamp starts, or dies,
 * a command may be obeyed, late, or not.
 */
export function heardAs(
  world: World,
  moment: Moment,
  react: (world: World) => readonly Reaction[],
): readonly Reaction[] {
  const { lostAt, interrupted, deafUntil } = world.power;
  const { at, allowances } = moment;
  if (lostAt !== null && world.strain === null) {
    if (!interrupted || at - lostAt > allowances.afterglow)
      return [{ world, answers: ['silence'] }];
    const dying = react(interrupted).flatMap(({ world: after }) =>
      keptOnly(after, moment).map((one) => ({
        ...one,
        light: world.light,
        power: { ...world.power, interrupted: after },
      })),
    );
    return unsure('a command came as the power went', [world, ...dying]);
  }
  if (world.strain !== null && lostAt !== null)
    return unsure('a command came while the supply was too low', [
      world,
      ...react(world).map((after) => after.world),
    ]);
  if (at >= deafUntil) return react(world);
  const late = react(world).map(({ world: after }) =>
    after.light === world.light
      ? after
      : { ...after, light: { ...after.light, latency: after.light.latency + deafUntil - at } },
  );
  return unsure('a command came while the lamp started', [world, ...late]);
}

function unsure(why: string, worlds: readonly World[]): readonly Reaction[] {
  return fork(why, ...worlds).map((world) => ({ world, answers: ['any'] }));
}
