import type { Lamp } from '../../bench/lamp.ts';
import { type Band, exactly, hull, isExact } from '../band.ts';
import { still } from '../course.ts';
import { levelNow, moveLight } from '../light.ts';
import type { Moment, PossibleAnswer, Reaction, World } from '../world.ts';
import { nothingKnown } from '../worlds.ts';
import { gearLost, unknownRegister, withRegisters, withSettings } from './configure.ts';
import type { GearRegisters, PendingColour } from './gear.ts';
import { daliShape, highest, lightOf } from './levels.ts';

/** Device type of colour control gear (IEC 62386-209). */
export const colourType = 8;
const mostPrimaries = 6;
/** Temporary dim levels of 16 bits: 65535 is MASK (from memory). */
const highestPrimary = 65_534;
const wordMask = 65_535;
const byteMask = 255;
const anything: Band = { low: 0, high: 1 };

/** Whether the lamp file has colour control: white, colours, or few enough channels to be primaries. */
export function hasColour({ links: { dali }, channels }: Lamp): boolean {
  return Boolean(dali?.tunableWhite || dali?.rgbwaf) || channels.length <= mostPrimaries;
}

/** The intensities to which a colour takes the channels. Primaries that it does not name stay; channels beside red, green, blue … may go out. */
export function colouredMix(
  world: World,
  colour: PendingColour,
  { lamp }: Moment,
): readonly Band[] {
  if (colour.is === 'temperature' || colour.is === 'unknown')
    return lamp.channels.map(() => anything);
  return lamp.channels.map(({ channel }, index) => {
    const own = colour.intensities[index] ?? null;
    const now = world.mix[index] ?? anything;
    if (own !== null) return own;
    const stays = colour.is === 'primaries' || lamp.links.dali?.rgbwaf?.includes(channel);
    return stays ? now : hull(exactly(0), now);
  });
}

/** Why the channels of a colour are not known exactly. */
export const whyOf: Readonly<Record<PendingColour['is'], string | null>> = {
  temperature:
    'the lamp mixes its colour temperature by itself: what each channel does for it is its own',
  primaries: null,
  rgbwaf:
    'levels of red, green and the other colours may go straight or along the dimming curve, and other channels go out or stay',
  unknown: 'the lamp file does not say how the lamp makes this colour',
};

/** The gear has that colour when its fade is over. */
export function activated(
  world: World,
  colour: PendingColour,
  over: number,
  { at, allowances: { tick, daliFadeTolerance, latency } }: Moment,
): World {
  const colourArrives =
    over > 0 ? at + over * (1 + daliFadeTolerance) + tick + latency.dali : Number.NEGATIVE_INFINITY;
  return withRegisters(world, { active: colour, colourArrives });
}

/** A command for the light finds a colour on its way: the standard does not say whether that goes on, stops, or is there at once. */
export function overtaken(world: World, { at }: Moment): World {
  const { colourArrives } = world.gear.registers;
  if (colourArrives === null || at >= colourArrives) return world;
  return withRegisters(world, { colourArrives: null });
}

/** ACTIVATE: the waiting colour comes with the fade time, at the level that there is (IEC 62386-209, from memory). */
function activate(world: World, over: number, moment: Moment): World {
  const { colour } = world.gear.registers;
  if (!colour) return world;
  return takeColour(withRegisters(world, { colour: null }), colour, over, moment);
}

function takeColour(world: World, colour: PendingColour, over: number, moment: Moment): World {
  const { allowances } = moment;
  const now = levelNow(world, moment, allowances.latency.dali);
  // A fade of the level may go on or stop where it is.
  const level = hull(now, world.light.level.final);
  const mix = colouredMix(world, colour, moment);
  const fading = isExact(level) ? null : 'a colour was activated while the level was fading';
  const target = { level, mix };
  const manner = {
    over,
    shape: daliShape(moment.lamp),
    latency: allowances.latency.dali,
    dilation: allowances.daliFadeTolerance,
    floor: lightOf(world.gear.settings.min),
    why: whyOf[colour.is] ?? fading,
    onBus: true,
  };
  const from = fading === null ? world : onItsWay(world, level);
  return activated(moveLight(from, target, manner, moment), colour, over, moment);
}

/** A light that fades on while its colour changes may be anywhere between, at any instant. */
function onItsWay(world: World, level: Band): World {
  const { light } = world;
  const channels = light.channels.map(({ start, final }) => still(hull(start, final)));
  return { ...world, light: { ...light, over: 0, level: still(level), channels } };
}

/** A word in DTR1 and DTR0; null where either is not known. */
function word({ dtr0, dtr1 }: GearRegisters): number | null {
  return dtr0 === null || dtr1 === null ? null : 256 * dtr1 + dtr0;
}

/** The mirek within the limits of the gear. */
function heldMirek(world: World, mirek: number, lamp: Lamp): number {
  const { tunableWhite } = lamp.links.dali ?? {};
  const { coolest, warmest } = world.gear.settings;
  const least = coolest ?? (tunableWhite ? Math.round(1e6 / tunableWhite.coolest) : 0);
  const most = warmest ?? (tunableWhite ? Math.round(1e6 / tunableWhite.warmest) : wordMask);
  return Math.min(most, Math.max(least, mirek));
}

function setTemperature(world: World, { lamp }: Moment): World {
  const mirek = word(world.gear.registers);
  if (mirek === null) return gearLost(world, unknownRegister);
  if (mirek === wordMask) return withRegisters(world, { colour: null });
  if (!lamp.links.dali?.tunableWhite) return withRegisters(world, { colour: { is: 'unknown' } });
  return withRegisters(world, {
    colour: { is: 'temperature', mirek: heldMirek(world, mirek, lamp) },
  });
}

/** STEP COOLER and WARMER: one mirek, at once, where a colour temperature is active. */
function stepTemperature(world: World, by: 1 | -1, moment: Moment): World {
  const { active } = world.gear.registers;
  if (active === null && moment.lamp.links.dali?.tunableWhite)
    return nothingKnown(world, 'a colour temperature was stepped that another link has covered');
  if (active?.is !== 'temperature') return world;
  const mirek = heldMirek(world, active.mirek + by, moment.lamp);
  const { colourArrives } = overtaken(world, moment).gear.registers;
  const stepped = takeColour(world, { is: 'temperature', mirek }, 0, moment);
  // Whether it steps from where the light is or from where that was going is open.
  return colourArrives === null ? withRegisters(stepped, { colourArrives }) : stepped;
}

/** SET TEMPORARY PRIMARY N: a dim level of 16 bits for the channel of that number. */
function setPrimary(world: World, { lamp }: Moment): World {
  const value = word(world.gear.registers);
  const { dtr2 } = world.gear.registers;
  if (value === null || dtr2 === null) return gearLost(world, unknownRegister);
  if (lamp.channels.length > mostPrimaries)
    return withRegisters(world, { colour: { is: 'unknown' } });
  if (dtr2 >= lamp.channels.length) return world;
  const intensity = value === wordMask ? null : exactly(value / highestPrimary);
  return withRegisters(world, {
    colour: withChannels(world, lamp, 'primaries', [[dtr2, intensity]]),
  });
}

/** SET TEMPORARY RGB and WAF: a level each in DTR0, DTR1 and DTR2, of which 255 is MASK. */
function setColours(world: World, first: number, { lamp }: Moment): World {
  const { dtr0, dtr1, dtr2 } = world.gear.registers;
  if (dtr0 === null || dtr1 === null || dtr2 === null) return gearLost(world, unknownRegister);
  const colours = lamp.links.dali?.rgbwaf;
  if (!colours) return withRegisters(world, { colour: { is: 'unknown' } });
  const named = [dtr0, dtr1, dtr2].flatMap((value, index): [number, Band | null][] => {
    const place = lamp.channels.findIndex(({ channel }) => channel === colours[first + index]);
    return place < 0 ? [] : [[place, value === byteMask ? null : colourLevel(value)]];
  });
  return withRegisters(world, { colour: withChannels(world, lamp, 'rgbwaf', named) });
}

/** A level of 8 bits: straight in light, or along the curve; the standard was not at hand. */
function colourLevel(value: number): Band {
  return hull(exactly(value / highest), exactly(lightOf(value)));
}

function withChannels(
  world: World,
  lamp: Lamp,
  is: 'primaries' | 'rgbwaf',
  named: readonly (readonly [number, Band | null])[],
): PendingColour {
  const { colour } = world.gear.registers;
  const old = colour?.is === is ? colour.intensities : lamp.channels.map(() => null);
  const intensities = old.map((own, index) => {
    const given = named.find(([place]) => place === index);
    return given ? given[1] : own;
  });
  return { is, intensities };
}

/** STORE COLOUR TEMPERATURE LIMIT: DTR2 says which; null is the gear's own. */
function storeLimit(world: World, moment: Moment): World {
  const mirek = word(world.gear.registers);
  const { dtr2 } = world.gear.registers;
  if (mirek === null || dtr2 === null) return gearLost(world, unknownRegister);
  const value = mirek === wordMask ? null : heldMirek(world, mirek, moment.lamp);
  if (dtr2 === 0) return withSettings(world, { coolest: value }, moment);
  return dtr2 === 1 ? withSettings(world, { warmest: value }, moment) : world;
}

/** A command of colour control gear, which ENABLE DEVICE TYPE 8 went before; fade time in s. */
export function colourCommand(
  world: World,
  code: number,
  over: number,
  moment: Moment,
): readonly Reaction[] {
  if (code >= 0xf7) return [colourQuery(world, code, moment)];
  return [{ world: colourChange(world, code, over, moment) }];
}

function colourChange(world: World, code: number, over: number, moment: Moment): World {
  switch (code) {
    case 0xe2:
      return activate(world, over, moment);
    case 0xe7:
      return setTemperature(world, moment);
    case 0xe8:
      return stepTemperature(world, -1, moment);
    case 0xe9:
      return stepTemperature(world, 1, moment);
    case 0xea:
      return setPrimary(world, moment);
    case 0xeb:
      return setColours(world, 0, moment);
    case 0xec:
      return setColours(world, 3, moment);
    case 0xf2:
      return storeLimit(world, moment);
    // x and y, control of the colours, a copy of the report: the lamp file offers none of them.
    case 0xe0:
    case 0xe1:
    case 0xed:
    case 0xee:
      return withRegisters(world, { colour: { is: 'unknown' } });
    default:
      return world;
  }
}

/** Bits of QUERY COLOUR STATUS: temperature, primaries, red to free colour. */
const statusBit = { temperature: 0x20, primaries: 0x40, rgbwaf: 0x80 } as const;
/** A colour temperature beyond what the gear has. */
const outOfRange = 0x02;

function colourQuery(world: World, code: number, { lamp }: Moment): Reaction {
  const { active, dtr0, colourArrives } = world.gear.registers;
  if (code === 0xf8) return { world, answers: statusAnswers(active, lamp) };
  if (code === 0xf7 || code === 0xf9) return { world, answers: ['some-byte'] };
  // Of RGBWAF control and assigned colours the lamp file says nothing, nor of the version.
  if (code !== 0xfa)
    return { world, answers: [code === 0xfd || code === 0xfe ? 'silence' : 'any'] };
  const known = dtr0 === 2 && colourArrives !== null;
  if (known && active?.is === 'temperature' && !isAtEnd(active.mirek, lamp)) {
    const low = active.mirek & 0xff;
    const high = active.mirek >> 8;
    const dtr1 = world.gear.registers.dtr1 === high ? high : null;
    return { world: withRegisters(world, { dtr0: low, dtr1 }), answers: [{ byte: high }] };
  }
  // What else there is to ask for is the lamp's own, and its low byte comes in DTR0.
  return { world: withRegisters(world, { dtr0: null, dtr1: null }), answers: ['any'] };
}

function statusAnswers(active: PendingColour | null, lamp: Lamp): readonly PossibleAnswer[] {
  if (active === null || active.is === 'unknown') return ['some-byte'];
  const byte = statusBit[active.is];
  // A colour of nothing but MASK may or may not be one.
  if (active.is !== 'temperature' && active.intensities.every((own) => own === null))
    return ['some-byte'];
  const within = active.is === 'temperature' && !isAtEnd(active.mirek, lamp);
  if (within || !lamp.links.dali?.tunableWhite) return [{ byte }];
  // Whether that bit stays when another colour type follows is open (the standard was not at hand).
  return [{ byte }, { byte: byte | outOfRange }];
}

/** The lamp's whites may end a little before the nominal range of its file does (bins; common practice, no source). */
const nominalEnds = 0.015;

function isAtEnd(mirek: number, { links: { dali } }: Lamp): boolean {
  const { tunableWhite } = dali ?? {};
  if (!tunableWhite) return false;
  const { warmest, coolest } = tunableWhite;
  return mirek > (1e6 / warmest) * (1 - nominalEnds) || mirek < (1e6 / coolest) * (1 + nominalEnds);
}
