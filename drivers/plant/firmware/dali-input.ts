import { addressOf, mask } from '../../dali/frame.ts';
import { needsTwice, special } from '../../dali/opcodes.ts';
import { colourCommand } from './gear-colour.ts';
import { configure } from './gear-configuration.ts';
import { arcPower, levelCommand } from './gear-levels.ts';
import { answer } from './gear-queries.ts';
import type { GearState } from './gear-state.ts';

/** Forward frames to commands: addressing, the send-twice rule, device types. IEC 62386-102. */
export class DaliInput {
  readonly #gear: GearState;
  /** A configuration command that has come once. */
  #once: { readonly key: number; readonly at: number } | null = null;
  /** ENABLE DEVICE TYPE 8 holds for the next frame only. */
  #colourEnabled = false;
  #heard = false;

  constructor(gear: GearState) {
    this.#gear = gear;
  }

  /** Whether any frame for us has come since the start. */
  get heard(): boolean {
    return this.#heard;
  }

  /** Acts on a frame; returns the byte of the backward frame, or null for silence. 24 bit frames are not for gear. */
  take(frame: readonly number[], now: number): number | null {
    const [first, second] = frame;
    if (first === undefined || second === undefined) return null;
    if (frame.length !== 2 && !this.#gear.traits.takesLongFrames) return null;
    const colour = this.#colourEnabled;
    const key = (first << 8) | second;
    const once = this.#once;
    this.#colourEnabled = false;
    this.#once = null;
    if (this.#special(first, second)) return null;
    const address = addressOf(first);
    if (!address || !this.#isUs(address)) return null;
    this.#heard = true;
    if ((first & 1) === 0) {
      arcPower(this.#gear, second, now);
      return null;
    }
    if (!needsTwice(second, colour)) return this.#act(second, colour, now);
    const { sendTwice } = this.#gear.traits;
    if (sendTwice !== null && !(once?.key === key && now - once.at <= sendTwice)) {
      this.#once = { key, at: now };
      this.#colourEnabled = colour;
      return null;
    }
    return this.#act(second, colour, now);
  }

  /** The bus lost its power: system failure level, unless it is MASK. */
  busFailed(): void {
    const level = this.#gear.registers.systemFailureLevel;
    if (level !== mask) this.#gear.goTo(level, 0);
  }

  #act(code: number, colour: boolean, now: number): number | null {
    if (code >= 0xe0) return colour ? colourCommand(this.#gear, code) : null;
    if (needsTwice(code)) configure(this.#gear, code);
    else if (!levelCommand(this.#gear, code, now)) return answer(this.#gear, code);
    return null;
  }

  #special(first: number, second: number): boolean {
    switch (first) {
      case special.dtr0:
        this.#gear.dtr0 = second;
        return true;
      case special.dtr1:
        this.#gear.dtr1 = second;
        return true;
      case special.dtr2:
        this.#gear.dtr2 = second;
        return true;
      case special.enableDeviceType:
        this.#colourEnabled = second === 8;
        return true;
      default:
        return false;
    }
  }

  #isUs(address: NonNullable<ReturnType<typeof addressOf>>): boolean {
    const { shortAddress, groups } = this.#gear.registers;
    switch (address.to) {
      case 'short':
        return address.address === shortAddress;
      case 'group':
        return (groups & (1 << address.group)) !== 0;
      case 'broadcast':
        return true;
      case 'unaddressed':
        return shortAddress === mask;
    }
  }
}
