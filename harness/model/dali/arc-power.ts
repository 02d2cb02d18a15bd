import { type Band, exactly, hull, isExact, mapped, product } from '../band.ts';
import { still } from '../course.ts';
import {
  isFading,
  isGliding,
  levelNow,
  type Manner,
  mixNow,
  moveLight,
  starting,
  stopLight,
} from '../light.ts';
import type { Moment, World } from '../world.ts';
import { fork } from '../worlds.ts';
import { activated, colouredMix, overtaken, whyOf } from './colour.ts';
import { withRegisters } from './configure.ts';
import type { Flag, GearSettings, PendingColour } from './gear.ts';
import {
  daliShape,
  extendedFadeSeconds,
  fadeSeconds,
  highest,
  levelOf,
  levelsPerSecond,
  lightOf,
  mask,
} from './levels.ts';

/** UP and DOWN run so long (IEC 62386-102 9.7.3, from memory), and so does each level of a DAPC sequence, s. */
const rampTime = 0.2;
/** How exactly a gear has to know the end of a DAPC sequence, s. */
const sequenceSlack = 0.02;

function manner(moment: Moment, over: number, why: string | null = null) {
  return {
    over,
    shape: daliShape(moment.lamp),
    latency: moment.allowances.latency.dali,
    dilation: moment.allowances.daliFadeTolerance,
    why,
    onBus: true,
  };
}

interface Arrival {
  /** Relative light, within MIN and MAX, or dark. */
  readonly level: Band;
  readonly over: number;
  readonly limitError?: Flag;
  readonly why?: string | null;
  readonly colour?: PendingColour | null;
}

/** The gear leaves for a level, and with it for a colour that waits for that (IEC 62386-209: automatic activation, from memory). */
export function arrive(world: World, arrival: Arrival, moment: Moment): readonly World[] {
  const { colour = null } = arrival;
  if (colour) return [leaveWith(world, colour, arrival, moment)];
  const plain = leave(world, arrival, mixNow(world, moment), moment);
  const waiting = world.gear.registers.colour;
  if (!waiting) return [plain];
  return fork(
    'a colour waits to be activated, which a new level may do by itself',
    plain,
    leaveWith(withRegisters(world, { colour: null }), waiting, arrival, moment),
  );
}

function leaveWith(world: World, colour: PendingColour, arrival: Arrival, moment: Moment): World {
  const why = arrival.why ?? whyOf[colour.is];
  const mix = colouredMix(world, colour, moment);
  return activated(leave(world, { ...arrival, why }, mix, moment), colour, arrival.over, moment);
}

function leave(world: World, arrival: Arrival, mix: readonly Band[], moment: Moment): World {
  const { level, over, limitError = false, why = null } = arrival;
  const { min } = world.gear.settings;
  const how: Manner = {
    ...manner(moment, over, why),
    floor: lightOf(min),
  };
  const moved = moveLight(world, { level, mix }, how, moment);
  const lastActive = level.high > 0 ? level : world.gear.registers.lastActive;
  return withRegisters(overtaken(moved, moment), { lastActive, limitError, powerCycleSeen: false });
}

/** DIRECT ARC POWER CONTROL: 0 is off, 255 stops a fade (IEC 62386-102 9.7.2). */
export function directLevel(world: World, level: number, moment: Moment): readonly World[] {
  if (level === mask) return [stopFade(world, moment)];
  const { sequenceUntil } = world.gear.registers;
  const rest = sequenceUntil - moment.at;
  const within = () => toLevel(inSequence(world, moment), level, rampTime, moment);
  const after = () => toLevel(endSequence(world), level, fadeTime(world), moment);
  if (rest > sequenceSlack) return within();
  if (rest < -sequenceSlack) return after();
  return fork('the level came as the DAPC sequence ended', ...within(), ...after());
}

function inSequence(world: World, { at }: Moment): World {
  return withRegisters(world, { sequenceUntil: at + rampTime });
}

function endSequence(world: World): World {
  return withRegisters(world, { sequenceUntil: Number.NEGATIVE_INFINITY });
}

function stopFade(world: World, moment: Moment): World {
  return overtaken(stopLight(world, manner(moment, 0), moment), moment);
}

/** Fade time of the gear, s: the extended one where the other is 0. */
export function fadeTime({ gear: { settings } }: World): number {
  return settings.fadeTime > 0
    ? fadeSeconds(settings.fadeTime)
    : extendedFadeSeconds(settings.extendedFadeTime);
}

/** A level of the bus, held between MIN and MAX. */
export function toLevel(
  world: World,
  level: number,
  over: number,
  moment: Moment,
  colour: PendingColour | null = null,
): readonly World[] {
  const { min, max } = world.gear.settings;
  const held = level === 0 ? 0 : Math.min(max, Math.max(min, level));
  const arrival = { level: exactly(lightOf(held)), limitError: held !== level, colour };
  const now = levelNow(world, moment, moment.allowances.latency.dali);
  const fades = arrive(world, { ...arrival, over }, moment);
  // From MIN to dark there is no way to fade: the gear may go off at once, or when the fade time is over.
  if (held > 0 || over === 0 || !isExact(now) || now.low !== lightOf(min)) return fades;
  return fork(
    'the light fades to dark from MIN',
    ...fades,
    ...arrive(world, { ...arrival, over: 0 }, moment),
  );
}

/** The level as commands in steps find it, in whole levels: lowest and highest that it may be. */
function steps(world: World, moment: Moment): Band {
  const now = levelNow(world, moment, moment.allowances.latency.dali);
  return { low: Math.floor(levelOf(now.low)), high: Math.ceil(levelOf(now.high)) };
}

/** The cases of a gear that is dark, and of one that is lit, of which both may be possible. */
function whetherLit(
  world: World,
  moment: Moment,
  cases: { readonly dark: () => readonly World[]; readonly lit: (level: Band) => readonly World[] },
): readonly World[] {
  const level = steps(world, moment);
  if (level.high === 0) return cases.dark();
  if (level.low > 0) return cases.lit(level);
  // A straight fade passes what lies below MIN as well.
  const least = daliShape(moment.lamp) === 'geometric' ? world.gear.settings.min : 1;
  const lit = cases.lit({ low: Math.min(level.high, least), high: level.high });
  return fork('the light may be off already', ...cases.dark(), ...lit);
}

/** STEP UP and STEP DOWN: one level, at once, within MIN and MAX; a dark gear stays dark (IEC 62386-102 9.7.3). */
export function step(world: World, by: 1 | -1, moment: Moment): readonly World[] {
  return whetherLit(world, moment, {
    dark: () => [world],
    lit: (level) => {
      const moved = moveBy(world, level, { by: exactly(by), over: 0 }, moment);
      return maybeThere(world, level, by, moment, moved);
    },
  });
}

/** UP and DOWN: for 200 ms with the fade rate; never off, and a dark gear stays dark (IEC 62386-102 9.7.3). */
export function ramp(world: World, towards: 1 | -1, moment: Moment): readonly World[] {
  const way = levelsPerSecond(world.gear.settings.fadeRate) * rampTime;
  const [least, most] = [Math.max(1, Math.floor(way)), Math.max(1, Math.ceil(way))];
  const by = towards > 0 ? { low: least, high: most } : { low: -most, high: -least };
  return whetherLit(world, moment, {
    dark: () => [world],
    lit: (level) => {
      const moved = moveBy(world, level, { by, over: rampTime }, moment);
      const whole = maybeThere(world, level, towards, moment, moved);
      const { min, max } = world.gear.settings;
      // Of a level that is not known exactly, the one next to the limit comes first.
      const left = towards > 0 ? max - level.high : level.low - min;
      if (left >= least) return whole;
      const over = (rampTime * Math.max(0, left)) / way;
      return fork(atLimit, ...moveBy(world, level, { by, over }, moment), ...whole);
    },
  });
}

/**
 * A light that lies beyond the limit which a step goes towards, where another link put it, may be held to that limit or left where it is. One
 * that fades, and is at the limit when its level is rounded, has nowhere to go, and may fade on.
 */
function maybeThere(
  world: World,
  level: Band,
  towards: 1 | -1,
  moment: Moment,
  moved: readonly World[],
): readonly World[] {
  const { min, max } = world.gear.settings;
  const past = towards > 0 ? level.high - max : min - level.low;
  if (past > 0)
    return fork('a step goes on beyond a limit that the light has passed', world, ...moved);
  const rests = past === 0 && isFading(world, moment);
  return rests ? fork('a step comes to a fade that is at the limit', world, ...moved) : moved;
}

const atLimit = 'UP or DOWN comes to MAX or MIN on its way: it may end there, or after 200 ms';

function moveBy(
  world: World,
  level: Band,
  { by, over }: { readonly by: Band; readonly over: number },
  moment: Moment,
): readonly World[] {
  const { min, max } = world.gear.settings;
  const held = (wanted: number) => Math.min(max, Math.max(min, wanted));
  const wanted = { low: level.low + by.low, high: level.high + by.high };
  const beyond = wanted.low < min || wanted.high > max;
  const why =
    wanted.low === wanted.high
      ? null
      : 'steps of a level that is not a whole one, or of parts of a level';
  const arrival = { level: mapped(wanted, (own) => lightOf(held(own))), over, why };
  return arrive(world, { ...arrival, limitError: beyond ? null : false }, moment);
}

/** STEP DOWN AND OFF. */
export function stepDownAndOff(world: World, moment: Moment): readonly World[] {
  const { min } = world.gear.settings;
  return whetherLit(world, moment, {
    dark: () => [world],
    lit: (level) => {
      const off = () => toLevel(world, 0, 0, moment);
      const down = () =>
        moveBy(
          world,
          { ...level, low: Math.max(level.low, min + 1) },
          { by: exactly(-1), over: 0 },
          moment,
        );
      if (level.high <= min) return off();
      if (level.low > min) return down();
      return fork('the light may be at MIN already', ...off(), ...down());
    },
  });
}

/** ON AND STEP UP: a dark gear lights up at MIN. */
export function onAndStepUp(world: World, moment: Moment): readonly World[] {
  return whetherLit(world, moment, {
    dark: () => toLevel(world, world.gear.settings.min, 0, moment),
    lit: (level) => moveBy(world, level, { by: exactly(1), over: 0 }, moment),
  });
}

/** GO TO LAST ACTIVE LEVEL, with the fade time (IEC 62386-102 9.7.3, edition 2). */
export function lastActive(world: World, moment: Moment): readonly World[] {
  const { min, max } = world.gear.settings;
  const { lastActive: level } = world.gear.registers;
  const held = mapped(level, (own) => Math.min(lightOf(max), Math.max(lightOf(min), own)));
  const why = isExact(level)
    ? null
    : 'the last active level may be that of another link, or of before the power went';
  const limitError = isExact(level) ? held.low !== level.low : null;
  return arrive(world, { level: held, over: fadeTime(world), why, limitError }, moment);
}

/** CONTINUOUS UP and DOWN (a later edition): to MAX or MIN with the fade rate; gear of an earlier one ignores it. */
export function continuous(world: World, towards: 1 | -1, moment: Moment): readonly World[] {
  const { min, max, fadeRate } = world.gear.settings;
  const end = towards > 0 ? max : min;
  const lit = (level: Band): readonly World[] => {
    const way = (from: number) => Math.abs(end - from) / levelsPerSecond(fadeRate);
    const over = Math.max(way(level.low), way(level.high));
    return arrive(world, { level: exactly(lightOf(end)), over }, moment);
  };
  const moved = whetherLit(world, moment, { dark: () => [world], lit });
  return fork(
    'CONTINUOUS UP and DOWN are of a later edition, which the gear may not have',
    world,
    ...moved,
  );
}

/** GO TO SCENE: with the fade time; a scene that is MASK changes nothing. */
export function goToScene(world: World, scene: number, moment: Moment): readonly World[] {
  const stored = world.gear.settings.scenes[scene];
  if (!stored || stored.level === mask) return [world];
  return toLevel(world, stored.level, fadeTime(world), moment, stored.colour);
}

type Limits = Pick<GearSettings, 'min' | 'max'>;

function isWithin({ low, high }: Band, { min, max }: Limits): boolean {
  const within = (own: number) =>
    own === 0 || (own >= lightOf(min) * (1 - 1e-9) && own <= lightOf(max) * (1 + 1e-9));
  return within(low) && within(high);
}

/**
 * After MAX or MIN changed: a light beyond them is brought back at once (from memory). One that another link had left beyond the former ones
 * need not be: those limits are not for other links.
 */
export function backWithinLimits(world: World, former: Limits, moment: Moment): readonly World[] {
  const before = world.gear.registers.powerCycleSeen;
  // Whether that counts as a command since the power came is open (from memory).
  const powerCycleSeen = before === false ? false : null;
  return heldWithin(world, former, moment).map((one) =>
    one === world ? one : withRegisters(one, { powerCycleSeen }),
  );
}

function heldWithin(world: World, former: Limits, moment: Moment): readonly World[] {
  const now = hull(
    levelNow(world, moment, moment.allowances.latency.dali),
    world.light.level.final,
  );
  // A glide or a fade from or to the dark passes all that lies between.
  const moves = isGliding(world, moment) || isFading(world, moment);
  const passes = now.low === 0 && now.high > 0 && moves;
  if (!passes && isWithin(now, world.gear.settings)) return [world];
  const back = broughtBack(world, moment);
  if (starting(world.light, moment.at)) return [comesBackWithin(world)];
  // A colour of the bus leaves the level of another link as it is.
  if (isWithin(now, former)) return back;
  return fork('another link had set a level beyond MIN or MAX of the gear', world, ...back);
}

/** The light of a lamp that starts comes back within the limits that hold then, or within those that held. */
function comesBackWithin(world: World): World {
  const { min, max } = world.gear.settings;
  const { light, mix } = world;
  const { final } = light.level;
  const stored = world.remembered.level;
  const held = (own: number) =>
    own === 0 ? 0 : Math.min(lightOf(max), Math.max(lightOf(min), own));
  const level = hull(final, mapped(final, held));
  const channels = mix.map((own) => still(product(level, own)));
  const why = 'MIN or MAX was moved while the lamp started';
  const remembered = { ...world.remembered, level: hull(stored, mapped(stored, held)) };
  return { ...world, remembered, light: { ...light, level: still(level), channels, why } };
}

function broughtBack(world: World, moment: Moment): readonly World[] {
  const { min, max } = world.gear.settings;
  const [bottom, top] = [lightOf(min), lightOf(max)];
  const held = (own: number) => (own === 0 ? 0 : Math.min(top, Math.max(bottom, own)));
  const level = mapped(world.light.level.final, held);
  const back = arrive(world, { level, over: 0, limitError: null }, moment);
  if (!isFading(world, moment) && !isGliding(world, moment)) return back;
  // The fade, or the glide between two frames of slots, may go on, end at once, or stop at the limit that it was brought back to (the standard was not at hand).
  const stopped = { level: mapped(levelNow(world, moment, 0), held), over: 0, limitError: null };
  return fork(
    'MIN or MAX was moved across a light that fades',
    world,
    ...back,
    ...arrive(world, stopped, moment),
  );
}

/** The level to which the gear goes when the bus fails, at once; MASK changes nothing. */
export function systemFailure(world: World, moment: Moment): readonly World[] {
  const level = world.gear.settings.systemFailureLevel;
  return level === mask ? [world] : toLevel(world, Math.min(level, highest), 0, moment);
}
