import { addressOf, mask } from '../../dali/frame.ts';
import { needsTwice, opcode, special, specialNeedsTwice } from '../../dali/opcodes.ts';
import type { BankParts } from './gear-banks.ts';
import { colourCommand } from './gear-colour.ts';
import { Commissioning } from './gear-commissioning.ts';
import { configure } from './gear-configuration.ts';
import { arcPower, levelCommand } from './gear-levels.ts';
import { GearMemory } from './gear-memory.ts';
import { answerQuery } from './gear-queries.ts';
import type { GearState } from './gear-state.ts';

/** Forward frames to commands: addressing, the send-twice rule, device types. IEC 62386-102. */
export class DaliInput {
  #failingSince: number | null = null;
  /** The bus is still without power, and the gear has acted on that. */
  #failed = false;
  readonly #gear: GearState;
  /** A configuration command that has come once. */
  #once: { readonly key: number; readonly at: number } | null = null;
  /** ENABLE DEVICE TYPE 8 holds for the next frame only. */
  #colourEnabled = false;
  #heard = false;
  readonly #commissioning: Commissioning;
  readonly #memory: GearMemory;

  /** `serial` is the lamp's serial number, 32 bit. */
  constructor(gear: GearState, serial: number, banks: BankParts) {
    this.#gear = gear;
    this.#commissioning = new Commissioning(gear, serial);
    this.#memory = new GearMemory(gear, serial, banks);
  }

  /** Whether any frame for us has come since the start. */
  get heard(): boolean {
    return this.#heard;
  }

  /** Acts on a frame; returns the byte of the backward frame, or null for silence. 24 bit frames are not for gear. */
  take(frame: readonly number[], now: number): number | null {
    const [first, second] = frame.length === 2 ? frame : (this.#gear.traits.longFrame(frame) ?? []);
    if (first === undefined || second === undefined) return null;
    const colour = this.#colourEnabled;
    const key = (first << 8) | second;
    const again = this.#isAgain(key, now);
    this.#colourEnabled = false;
    if (again || !this.#gear.traits.gear.waitsForSecond) this.#once = null;
    const address = addressOf(first);
    if (!address) {
      if (!specialNeedsTwice(first) || again) return this.#special(first, second, now);
      this.#once = { key, at: now };
      return null;
    }
    const { registers, traits } = this.#gear;
    if (!traits.gear.isUs(address, registers)) return null;
    this.#heard = true;
    if (!goesWithWriting(first, second)) this.#memory.writable = false;
    if ((first & 1) === 0) {
      arcPower(this.#gear, second, now);
      return null;
    }
    if (needsTwice(second, colour) && !again) {
      this.#once = { key, at: now };
      this.#colourEnabled = colour;
      return null;
    }
    return this.#act(second, colour, now);
  }

  #isAgain(key: number, now: number): boolean {
    const { sendTwice } = this.#gear.traits;
    return sendTwice === null || (this.#once?.key === key && now - this.#once.at <= sendTwice);
  }

  /** The bus lost its power, or has it again. */
  bus(powered: boolean, now: number): void {
    this.#failingSince = powered ? null : now;
    const { levelAtReturn } = this.#gear.traits.gear;
    if (powered && this.#failed && levelAtReturn !== mask) this.#gear.goTo(levelAtReturn, 0);
    this.#failed = false;
  }

  /** The bus may yet count as failed. */
  get watching(): boolean {
    return this.#failingSince !== null;
  }

  /** System failure level once the bus has been without power for long enough, unless it is MASK. */
  watch(now: number): void {
    const { registers, traits } = this.#gear;
    const { busFailure, failureLevel } = traits.gear;
    if (this.#failingSince === null || now - this.#failingSince < busFailure - 1e-9) return;
    this.#failingSince = null;
    this.#failed = true;
    const level = failureLevel(registers.systemFailureLevel);
    if (level !== mask) this.#gear.goTo(level, 0);
  }

  #act(code: number, colour: boolean, now: number): number | null {
    if (code >= 0xe0) return colour ? colourCommand(this.#gear, code) : null;
    if (code === opcode.enableWriteMemory) this.#memory.writable = true;
    else if (code === opcode.readMemory) return this.#memory.read();
    else if (needsTwice(code)) configure(this.#gear, code);
    else if (!levelCommand(this.#gear, code, now)) return answerQuery(this.#gear, code);
    return null;
  }

  #special(first: number, second: number, now: number): number | null {
    if (!goesWithWriting(first, second)) this.#memory.writable = false;
    switch (first) {
      case special.dtr0:
        this.#gear.dtr0 = second;
        return null;
      case special.dtr1:
        this.#gear.dtr1 = second;
        return null;
      case special.dtr2:
        this.#gear.dtr2 = second;
        return null;
      case special.enableDeviceType:
        this.#colourEnabled = second === 8;
        return null;
      case special.writeMemory:
        return this.#memory.write(second);
      case special.writeMemorySilently:
        this.#memory.write(second);
        return null;
      default:
        return this.#commissioning.take(first, second, now);
    }
  }
}

/** Any other command ends the permission to write into the memory banks (from memory). */
function goesWithWriting(first: number, second: number): boolean {
  const specials: readonly number[] = [
    special.dtr0,
    special.dtr1,
    special.dtr2,
    special.writeMemory,
    special.writeMemorySilently,
  ];
  const commands: readonly number[] = [
    opcode.enableWriteMemory,
    opcode.queryDtr0,
    opcode.queryDtr1,
    opcode.queryDtr2,
  ];
  if (!addressOf(first)) return specials.includes(first);
  return (first & 1) === 1 && commands.includes(second);
}
