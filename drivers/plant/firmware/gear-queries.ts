import { mask } from '../../dali/frame.ts';
import { opcode } from '../../dali/opcodes.ts';
import type { GearState } from './gear-state.ts';

const yes = 0xff;
/** IEC 62386-102 edition 2: major in bits 7..2. From memory. */
const version = 0x08;
const colourDevice = 8;

/** The byte that answers a query; null is silence, which means NO. IEC 62386-102 11.5. */
export function answer(gear: GearState, code: number): number | null {
  const { registers } = gear;
  switch (code) {
    case opcode.queryStatus:
      return status(gear);
    case opcode.queryGearPresent:
      return yes;
    case opcode.queryLampOn:
      return yesIf(gear.light.level > 0);
    case opcode.queryLimitError:
      return yesIf(gear.limitError);
    case opcode.queryResetState:
      return yesIf(isReset(gear));
    case opcode.queryMissingShortAddress:
      return yesIf(registers.shortAddress === mask);
    case opcode.queryVersion:
      return version;
    case opcode.queryDtr0:
      return gear.dtr0;
    case opcode.queryDtr1:
      return gear.dtr1;
    case opcode.queryDtr2:
      return gear.dtr2;
    case opcode.queryDeviceType:
      return colourDevice;
    case opcode.queryPhysicalMinimum:
      return gear.physicalMinimum;
    case opcode.queryPowerFailure:
      return yesIf(gear.powerCycle);
    case opcode.queryActualLevel:
      return gear.actual;
    case opcode.queryMax:
      return registers.max;
    case opcode.queryMin:
      return registers.min;
    case opcode.queryPowerOnLevel:
      return registers.powerOnLevel;
    case opcode.querySystemFailureLevel:
      return registers.systemFailureLevel;
    case opcode.queryFade:
      return (registers.fadeTime << 4) | registers.fadeRate;
    case opcode.queryExtendedFadeTime:
      return registers.extendedFadeTime;
    case opcode.queryGroupsLow:
      return registers.groups & 0xff;
    case opcode.queryGroupsHigh:
      return registers.groups >> 8;
    case opcode.queryRandomHigh:
      return registers.randomAddress >> 16;
    case opcode.queryRandomMiddle:
      return (registers.randomAddress >> 8) & 0xff;
    case opcode.queryRandomLow:
      return registers.randomAddress & 0xff;
  }
  return (code & 0xf0) === opcode.queryScene ? registers.scenes[code & 0x0f]! : null;
}

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
  const { shortAddress, oem } = factory;
  return JSON.stringify({ ...registers, shortAddress, oem }) === JSON.stringify(factory);
}

function yesIf(condition: boolean): number | null {
  return condition ? yes : null;
}
