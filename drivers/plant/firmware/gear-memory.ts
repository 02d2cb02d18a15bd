import { type BankParts, bankNow, beginsValue } from './gear-banks.ts';
import { oemBytes } from './gear-registers.ts';
import type { GearState } from './gear-state.ts';

/** The lock byte of bank 1 holds this while its other bytes may be written. */
const unlocked = 0x55;
const oemAt = 3;
const lockAt = 2;
const lastOfBank1 = oemAt + oemBytes - 1;
/** IEC 62386-101 and -102 edition 2.0, coded as QUERY VERSION NUMBER is. From memory. */
const edition = 0x08;

/**
 * Memory banks of the gear, addressed by DTR1 (bank) and DTR0 (location), which moves on by itself. Bank 0 tells what
 * the gear is, bank 1 is the luminaire maker's, higher ones tell what it measures. Layout: IEC 62386-102 9.10, from memory.
 */
export class GearMemory {
  /** ENABLE WRITE MEMORY has come, and since then only commands that go with writing. */
  writable = false;
  readonly #gear: GearState;
  readonly #identity: readonly number[];
  readonly #parts: BankParts;
  #lock = 0xff;
  /** A bank as it was when the first byte of a value was read (IEC 62386-102, from memory). */
  #latched: { readonly bank: number; readonly bytes: Uint8Array } | null = null;

  constructor(gear: GearState, serial: number, parts: BankParts) {
    this.#gear = gear;
    this.#parts = parts;
    this.#identity = identity(serial, Math.max(1, ...(parts.gear.banks ?? [])));
  }

  /** READ MEMORY LOCATION: the byte, or null for silence where there is none. */
  read(): number | null {
    const { dtr0: location, dtr1: bank } = this.#gear;
    if (bank === 0) {
      this.#moveOn();
      return location === 1 ? null : (this.#identity[location] ?? null);
    }
    const bytes = this.#bank(bank, location);
    if (!bytes && bank !== 1) return null;
    this.#moveOn();
    if (bank > 1) return bytes?.[location] ?? null;
    if (location === 0) return bytes ? bytes.length - 1 : lastOfBank1;
    if (location === 1) return 0;
    if (location === lockAt) return this.#lock;
    return this.#gear.registers.oem[location - oemAt] ?? bytes?.[location] ?? null;
  }

  /** WRITE MEMORY LOCATION: the byte that was written, or null where nothing was. */
  write(value: number): number | null {
    const { dtr0: location, dtr1: bank } = this.#gear;
    if (!this.writable || bank > 1) return null;
    this.#moveOn();
    if (bank === 0) return null;
    if (location === lockAt) return (this.#lock = value);
    const index = location - oemAt;
    if (this.#lock !== unlocked || index < 0 || index >= oemBytes) return null;
    return (this.#gear.registers.oem[index] = value);
  }

  #bank(bank: number, location: number): Uint8Array | null {
    if (this.#latched?.bank === bank && !beginsValue(bank, location)) return this.#latched.bytes;
    const bytes = bankNow(bank, this.#parts);
    this.#latched = bytes && { bank, bytes };
    return bytes;
  }

  #moveOn(): void {
    this.#gear.dtr0 = Math.min(255, this.#gear.dtr0 + 1);
  }
}

/** Bank 0: last location, (none), last bank, trade number, firmware, serial number, hardware, editions, units. */
function identity(serial: number, lastBank: number): number[] {
  const tradeNumber = [0, 0, 0, 0, 0, 0];
  const serialNumber = [0, 0, 0, 0, 24, 16, 8, 0].map((shift, index) =>
    index < 4 ? 0 : (serial >>> shift) & 0xff,
  );
  const bank = [0, 0, lastBank, ...tradeNumber, 1, 0, ...serialNumber, 1, 0, edition, edition];
  bank.push(0xff, 0, 1, 0);
  bank[0] = bank.length - 1;
  return bank;
}
