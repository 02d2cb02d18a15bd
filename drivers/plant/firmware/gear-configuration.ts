import { mask } from '../../dali/frame.ts';
import { opcode } from '../../dali/opcodes.ts';
import type { GearState } from './gear-state.ts';

/** Commands that change what the gear remembers; the caller has made sure that they came twice. IEC 62386-102 11.4. */
export function configure(gear: GearState, code: number): void {
  const { registers, dtr0 } = gear;
  const index = code & 0x0f;
  switch (code) {
    case opcode.reset:
      gear.registers = {
        ...gear.factory,
        scenes: [...gear.factory.scenes],
        shortAddress: registers.shortAddress,
        oem: registers.oem,
      };
      gear.limitError = false;
      gear.powerCycle = false;
      return;
    case opcode.storeActualLevel:
      gear.dtr0 = gear.actual;
      return;
    case opcode.setMax:
      registers.max = Math.min(254, Math.max(registers.min, dtr0));
      if (gear.actual > registers.max) gear.goTo(registers.max, 0);
      return;
    case opcode.setMin:
      registers.min = Math.min(registers.max, Math.max(gear.physicalMinimum, dtr0));
      if (gear.actual > 0 && gear.actual < registers.min) gear.goTo(registers.min, 0);
      return;
    case opcode.setSystemFailureLevel:
      registers.systemFailureLevel = dtr0;
      return;
    case opcode.setPowerOnLevel:
      registers.powerOnLevel = dtr0;
      return;
    case opcode.setFadeTime:
      registers.fadeTime = Math.min(15, dtr0);
      return;
    case opcode.setFadeRate:
      registers.fadeRate = Math.min(15, Math.max(1, dtr0));
      return;
    case opcode.setExtendedFadeTime:
      registers.extendedFadeTime = dtr0 > 0x4f ? 0 : dtr0;
      return;
    case opcode.setShortAddress:
      if (dtr0 === mask) registers.shortAddress = mask;
      else if ((dtr0 & 0x81) === 1) registers.shortAddress = dtr0 >> 1;
      return;
  }
  switch (code & 0xf0) {
    case opcode.setScene:
      registers.scenes[index] = dtr0;
      return;
    case opcode.removeScene:
      registers.scenes[index] = mask;
      return;
    case opcode.addGroup:
      registers.groups |= 1 << index;
      return;
    case opcode.removeGroup:
      registers.groups &= ~(1 << index);
      return;
  }
}
