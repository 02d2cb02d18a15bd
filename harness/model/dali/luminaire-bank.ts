import type { Lamp, LampLinks } from '../../bench/lamp.ts';

type Luminaire = NonNullable<NonNullable<LampLinks['dali']>['luminaire']>;

interface Field {
  readonly bank: number;
  readonly at: number;
  readonly bytes: number;
  /** In the unit of the field. */
  readonly value: (luminaire: Luminaire) => number;
}

const hour = 3600;

/** IEC 62386-251 (bank 1) and -253 (bank 207), from memory; most significant byte first. */
const fields: readonly Field[] = [
  { bank: 1, at: 0x15, bytes: 2, value: ({ inputPower }) => inputPower },
  { bank: 1, at: 0x17, bytes: 2, value: ({ minimumPower }) => minimumPower },
  { bank: 1, at: 0x1d, bytes: 3, value: ({ light }) => light },
  { bank: 1, at: 0x20, bytes: 1, value: ({ cri }) => cri },
  { bank: 1, at: 0x21, bytes: 2, value: ({ cct }) => cct },
  { bank: 207, at: 0x04, bytes: 1, value: ({ life }) => life / hour / 1000 },
  { bank: 207, at: 0x06, bytes: 2, value: ({ starts }) => starts / 100 },
];

/** The byte at a location of a bank, where the lamp file says it; null elsewhere, and for a figure that the field cannot hold. */
export function luminaireByte(lamp: Lamp, bank: number, location: number): number | null {
  const luminaire = lamp.links.dali?.luminaire;
  const field = fields.find(
    ({ bank: own, at, bytes }) => own === bank && location >= at && location < at + bytes,
  );
  if (!luminaire || !field) return null;
  const value = field.value(luminaire);
  if (!Number.isInteger(value) || value < 0 || value >= 256 ** field.bytes - 2) return null;
  return Math.floor(value / 256 ** (field.at + field.bytes - 1 - location)) % 256;
}
