import { isDeepStrictEqual } from 'node:util';
import { mask } from '../../dali/frame.ts';
import { opcode } from '../../dali/opcodes.ts';
import { hasColour } from './gear-colour.ts';
import { resetRegisters } from './gear-registers.ts';
import type { GearState } from './gear-state.ts';

const yes = 0xff;
/** IEC 62386-102 edition 2: major in bits 7..2. From memory. */
const version = 0x08;
const colourDevice = 8;
/** Answer of gear without a device type (IEC 62386-102, from memory). */
const noDevice = 254;

/** The byte that answers a query; null is silence, which means NO. IEC 62386-102 11.5. */
export function answerQuery(gear: GearState, code: number): number | null {
  return gear.traits.gear.told(code, answerOf(gear, code), gear);
}

function answerOf(gear: GearState, code: number): number | null {
  const query = queries.get(code);
  if (query) return query(gear);
  return (code & 0xf0) === opcode.queryScene ? (gear.registers.scenes[code & 0x0f] ?? mask) : null;
}

type Query = (gear: GearState) => number | null;

const queries: ReadonlyMap<number, Query> = new Map<number, Query>([
  [opcode.queryStatus, status],
  [opcode.queryGearPresent, () => yes],
  [opcode.queryLampOn, (gear) => yesIf(gear.light.level > 0)],
  [opcode.queryLimitError, (gear) => yesIf(gear.limitError)],
  [opcode.queryResetState, (gear) => yesIf(isReset(gear))],
  [opcode.queryMissingShortAddress, (gear) => yesIf(gear.registers.shortAddress === mask)],
  [opcode.queryVersion, () => version],
  [opcode.queryDtr0, (gear) => gear.dtr0],
  [opcode.queryDtr1, (gear) => gear.dtr1],
  [opcode.queryDtr2, (gear) => gear.dtr2],
  [opcode.queryDeviceType, (gear) => (hasColour(gear) ? colourDevice : noDevice)],
  [opcode.queryPhysicalMinimum, (gear) => gear.physicalMinimum],
  [opcode.queryPowerFailure, (gear) => yesIf(gear.powerCycle)],
  [opcode.queryActualLevel, (gear) => gear.actual],
  [opcode.queryMax, (gear) => gear.registers.max],
  [opcode.queryMin, (gear) => gear.registers.min],
  [opcode.queryPowerOnLevel, (gear) => gear.registers.powerOnLevel],
  [opcode.querySystemFailureLevel, (gear) => gear.registers.systemFailureLevel],
  [opcode.queryFade, (gear) => (gear.registers.fadeTime << 4) | gear.registers.fadeRate],
  [opcode.queryExtendedFadeTime, (gear) => gear.registers.extendedFadeTime],
  [opcode.queryGroupsLow, (gear) => gear.registers.groups & 0xff],
  [opcode.queryGroupsHigh, (gear) => gear.registers.groups >> 8],
  [opcode.queryRandomHigh, (gear) => gear.registers.randomAddress >> 16],
  [opcode.queryRandomMiddle, (gear) => (gear.registers.randomAddress >> 8) & 0xff],
  [opcode.queryRandomLow, (gear) => gear.registers.randomAddress & 0xff],
]);

/** Bits 0 gear failure, 1 lamp failure, 2 lamp on, 3 limit error, 4 fade running, 5 reset state, 6 no short address, 7 power cycle. */
function status(gear: GearState): number {
  const bits = [
    false,
    false,
    gear.light.level > 0,
    gear.limitError,
    gear.light.fadingFor !== null,
    isReset(gear),
    gear.registers.shortAddress === mask,
    gear.powerCycle,
  ];
  return bits.reduce((sum, bit, index) => sum | (bit ? 1 << index : 0), 0);
}

function isReset({ registers, factory }: GearState): boolean {
  return isDeepStrictEqual(registers, resetRegisters(registers, factory));
}

function yesIf(condition: boolean): number | null {
  return condition ? yes : null;
}
