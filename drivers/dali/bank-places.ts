import type { BankProperty } from '../../harness/bench/lamp-properties.ts';

/** Where a property stands in the memory banks of gear, and what its bytes mean: value = number x unit + offset, SI. */
export interface BankPlace {
  readonly bank: number;
  /** Location of its first byte; most significant first. */
  readonly at: number;
  readonly bytes: number;
  readonly unit: number;
  readonly offset?: number;
  /** The byte ahead of it is a power of ten, signed, that scales it. */
  readonly scaled?: true;
}

const place = (bank: number, at: number, bytes: number, unit = 1): BankPlace => ({
  bank,
  at,
  bytes,
  unit,
});

const hour = 3600;

/**
 * IEC 62386-251 (bank 1, luminaire), -252 (bank 202, energy), -253 (banks 205 gear, 206 light source, 207 rated life): banks,
 * locations, sizes and units are all from memory.
 */
export const bankPlaces: Readonly<Record<BankProperty, BankPlace>> = {
  'luminaire-input-power': place(1, 0x15, 2),
  'luminaire-minimum-power': place(1, 0x17, 2),
  'luminaire-light': place(1, 0x1d, 3),
  'luminaire-cri': place(1, 0x20, 1),
  'luminaire-cct': place(1, 0x21, 2),
  'active-energy': { ...place(202, 0x05, 6, hour), scaled: true },
  'active-power': { ...place(202, 0x0c, 4), scaled: true },
  'gear-operating-time': place(205, 0x04, 4),
  'gear-starts': place(205, 0x08, 3),
  'gear-supply-voltage': place(205, 0x0b, 2, 0.1),
  'gear-temperature': { ...place(205, 0x1b, 1), offset: -60 },
  'light-starts': place(206, 0x07, 3),
  'light-on-time': place(206, 0x0e, 4),
  'light-temperature': { ...place(206, 0x20, 1), offset: -60 },
  'rated-life': place(207, 0x04, 1, 1000 * hour),
  'rated-starts': place(207, 0x06, 2, 100),
};

/** The locations to be read for a property: its scale, too, where it has one. */
export function spanOf({ at, bytes, scaled }: BankPlace): {
  readonly from: number;
  readonly length: number;
} {
  return scaled ? { from: at - 1, length: bytes + 1 } : { from: at, length: bytes };
}

/** SI; or why the lamp states none: MASK (all ones) is "not known", one less "not now" (IEC 62386-102, from memory). */
export function decodeBank(
  place: BankPlace,
  read: readonly number[],
): { readonly value: number; readonly resolution: number } | { readonly refused: string } {
  const { unit, offset = 0, scaled, bytes } = place;
  const number = read.slice(scaled ? 1 : 0).reduce((sum, byte) => 256 * sum + byte, 0);
  const mask = 256 ** bytes - 1;
  if (number === mask) return { refused: 'says that it does not know it (MASK)' };
  if (number === mask - 1) return { refused: 'says that it cannot tell it now (TMASK)' };
  const power = scaled ? 10 ** (((read[0] ?? 0) << 24) >> 24) : 1;
  return { value: number * power * unit + offset, resolution: power * unit };
}
