import { expect, test } from 'vitest';
import {
  decodeExtended,
  encodeDiscovery,
  encodeSync,
} from '../../../drivers/sacn/extended-packet.ts';
import { decodeSacn } from '../../../drivers/sacn/packet.ts';

const cid = Uint8Array.from({ length: 16 }, (_, index) => index + 1);
const cidHex = '0102030405060708090a0b0c0d0e0f10';
/** Preamble, post-amble, identifier "ASC-E1.17". */
const head = '00100000' + '4153432d45312e3137000000';
const hex = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex');

test('a synchronisation packet, byte by byte (ANSI E1.31-2018 6.3)', () => {
  // Lengths: 49 - 16 = 0x21 and 49 - 38 = 0x0b; root vector 8, framing vector 1; number 7, address 700 = 0x02bc.
  expect(hex(encodeSync({ cid, sequence: 7, syncAddress: 700 }))).toBe(
    `${head}702100000008${cidHex}700b000000010702bc0000`,
  );
});

test('a discovery packet, byte by byte (ANSI E1.31-2018 8)', () => {
  const bytes = encodeDiscovery({
    ...{ cid, sourceName: 'ab', page: 0, lastPage: 0 },
    universes: [64_000 - 1, 7],
  });
  // 124 bytes: 124 - 16 = 0x6c, 124 - 38 = 0x56, 124 - 112 = 0x0c; vectors 8, 2 and 1; the list ascends.
  const name = `6162${'00'.repeat(62)}`;
  expect(hex(bytes)).toBe(
    `${head}706c00000008${cidHex}705600000002${name}00000000700c0000000100000007f9ff`,
  );
});

test('what is written is read', () => {
  expect(decodeExtended(encodeSync({ cid, sequence: 255, syncAddress: 1 }))).toEqual({
    ...{ is: 'sync', cid, sequence: 255, syncAddress: 1 },
  });
  const list = { cid, sourceName: 'desk', page: 1, lastPage: 2, universes: [1, 300] };
  expect(decodeExtended(encodeDiscovery(list))).toEqual({ is: 'discovery', ...list });
});

test('neither is data, and data are neither', () => {
  const sync = encodeSync({ cid, sequence: 0, syncAddress: 9 });
  expect(decodeSacn(sync)).toHaveProperty('discard');
  expect(decodeExtended(sync.subarray(0, 48))).toBeNull();
  const list = encodeDiscovery({
    cid,
    sourceName: '',
    page: 0,
    lastPage: 0,
    universes: [1, 2, 3, 4],
  });
  expect(decodeSacn(list)).toEqual({ discard: expect.stringContaining('root vector') });
  list[117] = 2;
  expect(decodeExtended(list)).toBeNull();
});

test('addresses that no packet can have are refused', () => {
  expect(() => encodeSync({ cid, sequence: 0, syncAddress: 0 })).toThrow('1 to 63999 expected');
});
