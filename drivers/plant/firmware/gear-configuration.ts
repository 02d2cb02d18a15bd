import { mask } from '../../dali/frame.ts';
import { opcode } from '../../dali/opcodes.ts';
import { resetRegisters } from './gear-registers.ts';
import type { GearState } from './gear-state.ts';

/** Commands that change what the gear remembers; the caller has made sure that they came twice. IEC 62386-102 11.4. */
export function configure(gear: GearState, code: number): void {
  const command = commands.get(code);
  if (command) command(gear);
  else configureMember(gear, code & 0xf0, code & 0x0f);
}

type Command = (gear: GearState) => void;

const commands: ReadonlyMap<number, Command> = new Map<number, Command>([
  [opcode.reset, reset],
  [opcode.storeActualLevel, (gear) => (gear.dtr0 = gear.traits.gear.storedLevel(gear.actual))],
  [opcode.setMax, setMax],
  [opcode.setMin, setMin],
  [opcode.setSystemFailureLevel, (gear) => (gear.registers.systemFailureLevel = gear.dtr0)],
  [opcode.setPowerOnLevel, (gear) => (gear.registers.powerOnLevel = gear.dtr0)],
  [opcode.setFadeTime, setFadeTime],
  [opcode.setFadeRate, (gear) => (gear.registers.fadeRate = Math.min(15, Math.max(1, gear.dtr0)))],
  [
    opcode.setExtendedFadeTime,
    (gear) => (gear.registers.extendedFadeTime = gear.dtr0 > 0x4f ? 0 : gear.dtr0),
  ],
  [opcode.setShortAddress, setShortAddress],
]);

/** The level is 254, at once, and no colour waits (IEC 62386-102 and -209, tables of variables, from memory). */
function reset(gear: GearState): void {
  gear.registers = resetRegisters(gear.registers, gear.factory);
  gear.temporary = { primaries: new Map() };
  gear.goTo(254, 0);
  gear.limitError = false;
  gear.powerCycle = false;
}

function setFadeTime(gear: GearState): void {
  gear.registers.fadeTime = Math.min(15, gear.dtr0);
  if (gear.traits.gear.retimesFades && gear.ordered !== null && gear.light.moving)
    gear.goTo(gear.ordered, gear.fadeSeconds);
}

function setMax(gear: GearState): void {
  const { registers, dtr0 } = gear;
  registers.max = Math.min(254, Math.max(registers.min, dtr0));
  if (gear.traits.gear.limitsMoveLight && gear.actual > registers.max) gear.goTo(registers.max, 0);
}

function setMin(gear: GearState): void {
  const { registers, dtr0 } = gear;
  registers.min = Math.min(registers.max, Math.max(gear.physicalMinimum, dtr0));
  const { limitsMoveLight } = gear.traits.gear;
  if (limitsMoveLight && gear.actual > 0 && gear.actual < registers.min)
    gear.goTo(registers.min, 0);
}

function setShortAddress({ registers, dtr0 }: GearState): void {
  if (dtr0 === mask) registers.shortAddress = mask;
  else if ((dtr0 & 0x81) === 1) registers.shortAddress = dtr0 >> 1;
}

/** Commands that carry the number of a scene or a group in their last four bits. */
function configureMember({ registers, dtr0 }: GearState, code: number, index: number): void {
  switch (code) {
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
  }
}
