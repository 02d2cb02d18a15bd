import { expect, test } from 'vitest';
import { bankPlaces, decodeBank } from '../../../drivers/dali/bank-places.ts';
import { readBank } from '../../../drivers/dali/read-bank.ts';

const address = { to: 'short', address: 5 } as const;

/** Gear with memory as IEC 62386-102 has it: registers, and a location that moves on with each reading. */
class Gear {
  readonly banks: Record<number, Record<number, number>>;
  sent: string[] = [];
  /** Answers that do not arrive, by their number from 1. */
  lost: readonly number[] = [];
  #dtr0 = 0;
  #dtr1 = 0;
  #asked = 0;

  constructor(banks: Record<number, Record<number, number>>) {
    this.banks = banks;
  }

  readonly bus = {
    send: async ([first, second]: readonly [number, number]): Promise<void> => {
      this.sent.push(`${first.toString(16)} ${second.toString(16)}`);
      if (first === 0xa3) this.#dtr0 = second;
      if (first === 0xc3) this.#dtr1 = second;
    },
    sendTwice: async (): Promise<void> => {},
    anybody: async (): Promise<boolean> => true,
    ask: async ([first, second]: readonly [number, number]): Promise<number | null> => {
      this.sent.push(`${first.toString(16)} ${second.toString(16)}`);
      const answer = this.#answer(second);
      return this.lost.includes(++this.#asked) ? null : answer;
    },
  };

  #answer(code: number): number | null {
    if (code === 0x98) return this.#dtr0;
    if (code === 0x9c) return this.#dtr1;
    const bank = this.banks[this.#dtr1];
    return bank ? (bank[this.#dtr0++] ?? null) : null;
  }
}

const time = { now: () => 0, agree: (first: number, second: number) => first === second };
const read = (gear: Gear, property: keyof typeof bankPlaces) =>
  readBank(gear.bus, address, bankPlaces[property], time);

test('reads location by location, asks for DTR0 behind it, and does it all twice', async () => {
  // 2088 lm are 0x000828, at 0x1d of bank 1 (IEC 62386-251, from memory).
  const gear = new Gear({ 1: { 29: 0x00, 30: 0x08, 31: 0x28 } });
  expect(await read(gear, 'luminaire-light')).toMatchObject({ value: 2088, resolution: 1 });
  // Short address 5: 0x0b; READ MEMORY LOCATION 0xc5, QUERY CONTENT DTR0 0x98.
  const once = ['c3 1', 'a3 1d', 'b c5', 'b c5', 'b c5', 'b 98'];
  expect(gear.sent).toEqual([...once, ...once]);
});

test('a lost answer is read again, and blames nobody', async () => {
  const gear = new Gear({ 1: { 29: 0x00, 30: 0x08, 31: 0x28 } });
  gear.lost = [2];
  expect(await read(gear, 'luminaire-light')).toMatchObject({ value: 2088 });
});

test('a bank that the gear does not have is its own word, when it says so twice', async () => {
  const found = await read(new Gear({ 1: {} }), 'active-energy');
  expect(found).toEqual({ refused: 'has no bank 202, or nothing at location 5 of it' });
});

test('nobody is blamed where registers do not arrive either', async () => {
  const gear = new Gear({ 1: { 32: 92 } });
  gear.lost = Array.from({ length: 100 }, (_, index) => index + 1);
  expect(await read(gear, 'luminaire-cri')).toBeNull();
});

test('two readings that differ where nothing moves count for nothing', async () => {
  let turn = 0;
  const gear = new Gear({
    1: {
      get 32() {
        return turn++;
      },
    },
  });
  expect(await read(gear, 'luminaire-cri')).toBeNull();
});

test('energy comes with its scale: 0xfd is 10^-3, so that 1234567 are 1234.567 Wh', () => {
  // 1234567 = 0x12d687; 1 Wh is 3600 J.
  const bytes = [0xfd, 0x00, 0x00, 0x00, 0x12, 0xd6, 0x87];
  const found = decodeBank(bankPlaces['active-energy'], bytes);
  expect(found).toMatchObject({ value: expect.closeTo(1234.567 * 3600, 6), resolution: 3.6 });
});

test('temperatures have 60 K added, and all ones are no figure', () => {
  expect(decodeBank(bankPlaces['gear-temperature'], [85])).toMatchObject({ value: 25 });
  expect(decodeBank(bankPlaces['gear-temperature'], [255])).toEqual({
    refused: 'says that it does not know it (MASK)',
  });
  expect(decodeBank(bankPlaces['light-starts'], [255, 255, 254])).toEqual({
    refused: 'says that it cannot tell it now (TMASK)',
  });
});
