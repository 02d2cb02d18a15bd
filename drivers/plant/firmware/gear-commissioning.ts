import { mask } from '../../dali/frame.ts';
import { special } from '../../dali/opcodes.ts';
import { noRandomAddress } from './gear-registers.ts';
import type { GearState } from './gear-state.ts';

/** Seconds from INITIALISE to the end of commissioning by itself. IEC 62386-102, from memory. */
const initialisedFor = 15 * 60;
const yes = 0xff;

/**
 * How a controller finds gear that has no short address yet: each draws a random address of 24 bits, COMPARE bisects
 * them, PROGRAM SHORT ADDRESS names the one that was found and WITHDRAW takes it out of the search. IEC 62386-102
 * 9.14 and 11.7: the commands are confirmed in public texts, their conditions are from memory.
 */
export class Commissioning {
  readonly #gear: GearState;
  /** Sets this lamp's random addresses apart from those of a lamp that hears the same frames. */
  readonly #serial: number;
  #until = Number.NEGATIVE_INFINITY;
  #withdrawn = false;
  #search = noRandomAddress;

  constructor(gear: GearState, serial: number) {
    this.#gear = gear;
    this.#serial = serial;
  }

  /** Acts on a special command at instant `now` (s); returns the byte of its answer, or null for silence. */
  take(command: number, value: number, now: number): number | null {
    if (command === special.initialise) {
      if (this.#isMeant(value)) this.#open(now);
      return null;
    }
    if (now >= this.#until) return null;
    switch (command) {
      case special.terminate:
        this.#until = Number.NEGATIVE_INFINITY;
        return null;
      case special.randomise:
        this.#gear.registers.randomAddress = randomAddress(this.#serial, now);
        return null;
      case special.searchHigh:
        this.#search = (this.#search & 0x00ffff) | (value << 16);
        return null;
      case special.searchMiddle:
        this.#search = (this.#search & 0xff00ff) | (value << 8);
        return null;
      case special.searchLow:
        this.#search = (this.#search & 0xffff00) | value;
        return null;
      case special.compare:
        return !this.#withdrawn && this.#random <= this.#search ? yes : null;
      case special.withdraw:
        if (this.#isFound) this.#withdrawn = true;
        return null;
      case special.programShortAddress:
        if (this.#isFound) this.#program(value);
        return null;
      case special.verifyShortAddress:
        return isShort(value) && value >> 1 === this.#gear.registers.shortAddress ? yes : null;
      case special.queryShortAddress:
        return this.#isFound ? this.#shortByte : null;
      default:
        return null;
    }
  }

  #open(now: number): void {
    if (now >= this.#until) this.#search = noRandomAddress;
    this.#until = now + initialisedFor;
    this.#withdrawn = false;
  }

  /** 0: all gear; 255: gear without a short address; 0AAAAAA1: the gear with this one. */
  #isMeant(value: number): boolean {
    const { shortAddress } = this.#gear.registers;
    if (value === mask) return shortAddress === mask;
    return value === 0 || (isShort(value) && value >> 1 === shortAddress);
  }

  #program(value: number): void {
    if (value === mask) this.#gear.registers.shortAddress = mask;
    else if (isShort(value)) this.#gear.registers.shortAddress = value >> 1;
  }

  get #random(): number {
    return this.#gear.registers.randomAddress;
  }

  get #isFound(): boolean {
    return this.#random === this.#search;
  }

  get #shortByte(): number {
    const { shortAddress } = this.#gear.registers;
    return shortAddress === mask ? mask : (shortAddress << 1) | 1;
  }
}

function isShort(value: number): boolean {
  return (value & 0x81) === 1;
}

/** 0..0xFFFFFE from the serial number and the microsecond of the command: all that a lamp without dice has. */
function randomAddress(serial: number, now: number): number {
  // The least part of a microsecond lifts instants that rounding put just below a whole one.
  const microseconds = (Math.floor(now * 1e6 + 1e-3) % 2 ** 32) | 0;
  let hash = Math.imul(serial ^ microseconds, 0x85ebca6b);
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35);
  hash ^= hash >>> 16;
  return Math.min(noRandomAddress - 1, hash >>> 8);
}
