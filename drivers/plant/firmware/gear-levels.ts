import { mask } from '../../dali/frame.ts';
import { opcode } from '../../dali/opcodes.ts';
import type { GearState } from './gear-state.ts';

/** Direct arc power control. */
export function arcPower(gear: GearState, level: number, now: number): void {
  const { maskLevel, ignoresSameLevel, sequenceWait, sequenceFade } = gear.traits.gear;
  if (level === mask) {
    if (maskLevel === 'stops') gear.hold();
    if (maskLevel === 'full') gear.goTo(gear.registers.max, gear.fadeSeconds);
    return;
  }
  if (ignoresSameLevel && level === gear.lastLevel) return;
  gear.lastLevel = level;
  const inSequence = gear.sequenceUntil !== null && now <= gear.sequenceUntil;
  gear.sequenceUntil = inSequence ? now + sequenceWait : null;
  gear.goTo(level, inSequence ? sequenceFade : gear.fadeSeconds);
}

/** The last code of a command that moves the light: GO TO SCENE 15. */
const highestLevelCommand = 0x1f;

/** Commands that move the light. Returns false for any other. IEC 62386-102 9.5 and 11.3. */
export function levelCommand(gear: GearState, sent: number, now: number): boolean {
  if (sent > highestLevelCommand) return false;
  const { registers, actual } = gear;
  const { takesFor, runTime, recallSeconds, sequenceWait } = gear.traits.gear;
  const { min, max, fadeTime } = registers;
  const code = takesFor(sent, { registers, actual });
  // A command that finds nothing to move ends a DAPC sequence as well (9.8.2, from memory).
  if (code !== null) {
    gear.sequenceUntil = null;
    // And the report of a power cycle (9.16.8, from memory).
    gear.powerCycle = false;
  }
  switch (code) {
    case opcode.off:
      gear.goTo(0, 0);
      return true;
    case opcode.up:
    case opcode.down:
      run(gear, code === opcode.up ? 1 : -1, runTime);
      return true;
    case opcode.stepUp:
      if (actual > 0) gear.goTo(Math.min(max, actual + 1), 0);
      return true;
    case opcode.stepDown:
      if (actual > 0) gear.goTo(Math.max(min, actual - 1), 0);
      return true;
    case opcode.recallMax:
      gear.goTo(max, recallSeconds(fadeTime));
      return true;
    case opcode.recallMin:
      gear.goTo(min, recallSeconds(fadeTime));
      return true;
    case opcode.stepDownAndOff:
      if (actual > 0) gear.goTo(actual <= min ? 0 : actual - 1, 0);
      return true;
    case opcode.onAndStepUp:
      gear.goTo(actual === 0 ? min : Math.min(max, actual + 1), 0);
      return true;
    case opcode.enableDapcSequence:
      gear.sequenceUntil = now + sequenceWait;
      return true;
    case opcode.goToLastActive:
      gear.goTo(gear.lastActive, gear.fadeSeconds);
      return true;
    case 0x0b:
    case 0x0c:
      run(gear, code === 0x0b ? 1 : -1, Number.POSITIVE_INFINITY);
      return true;
    case null:
      return true;
    default:
      return scene(gear, code);
  }
}

/** Fades at the fade rate for at most `seconds`, towards MAX or MIN. A dark lamp stays dark. */
function run(gear: GearState, direction: 1 | -1, seconds: number): void {
  const actual = gear.actual;
  if (actual === 0) return;
  const { min, max, fadeRate } = gear.registers;
  const rate = gear.traits.daliFadeRate(fadeRate);
  const end = Math.round(
    Math.min(max, Math.max(min, actual + direction * Math.min(254, rate * seconds))),
  );
  // A level beyond the limits, which another link left, is back within them in the same time.
  if (end !== actual) gear.goTo(end, Math.min(seconds, Math.abs(end - actual) / rate));
}

function scene(gear: GearState, code: number): boolean {
  if ((code & 0xf0) !== opcode.goToScene) return false;
  const level = gear.registers.scenes[code & 0x0f] ?? mask;
  if (level !== mask) gear.goTo(level, gear.traits.gear.sceneSeconds(gear.fadeSeconds));
  return true;
}
