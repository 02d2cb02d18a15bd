import fc from 'fast-check';
import { Packet } from 'sacn';
import { describe, expect, test } from 'vitest';
import {
  decodeSacn,
  encodeSacn,
  multicastGroup,
  outOfSequence,
  type SacnPacket,
} from '../../../drivers/sacn/packet.ts';

const plain: SacnPacket = {
  cid: Uint8Array.from({ length: 16 }, (_, index) => index + 1),
  sourceName: 'Evenfall',
  priority: 100,
  syncAddress: 0,
  sequence: 7,
  preview: false,
  terminated: false,
  forceSync: false,
  universe: 7,
  startCode: 0,
  slots: new Uint8Array(512).fill(9),
};

function decoded(bytes: Uint8Array): SacnPacket {
  const packet = decodeSacn(bytes);
  if ('discard' in packet) throw new Error(packet.discard);
  return packet;
}

// Offsets and values of ANSI E1.31-2018's data packet: confirmed in the text, in the source of the npm package `sacn`
// and by a protocol analyser.
test.each([
  ['preamble', 0, [0x00, 0x10]],
  ['post-amble', 2, [0, 0]],
  ['packet id', 4, [...new TextEncoder().encode('ASC-E1.17'), 0, 0, 0]],
  ['root length', 16, [0x72, 0x6e]],
  ['root vector', 18, [0, 0, 0, 4]],
  ['CID', 22, [...plain.cid]],
  ['framing length', 38, [0x72, 0x58]],
  ['framing vector', 40, [0, 0, 0, 2]],
  ['source name', 44, [...new TextEncoder().encode('Evenfall'), 0]],
  ['priority', 108, [100]],
  ['sync address', 109, [0, 0]],
  ['sequence', 111, [7]],
  ['options', 112, [0]],
  ['universe', 113, [0, 7]],
  ['property length', 115, [0x72, 0x0b]],
  ['property vector', 117, [2]],
  ['address type', 118, [0xa1]],
  ['first address', 119, [0, 0]],
  ['increment', 121, [0, 1]],
  ['count', 123, [0x02, 0x01]],
  ['start code', 125, [0]],
  ['slot 1', 126, [9]],
] as const)('%s lies at byte %i', (_, at, bytes) => {
  expect([...encodeSacn(plain).subarray(at, at + bytes.length)]).toEqual([...bytes]);
});

test('a full packet has 638 bytes', () => expect(encodeSacn(plain)).toHaveLength(638));

describe('against the npm package sacn', () => {
  test('it reads our packets', () => {
    const slots = Uint8Array.from({ length: 512 }, (_, index) => (index * 7) & 0xff);
    const read = new Packet(Buffer.from(encodeSacn({ ...plain, slots, priority: 150 })));
    expect([read.universe, read.sequence, read.priority, read.sourceName]).toEqual([
      7,
      7,
      150,
      'Evenfall',
    ]);
    expect([...read.payloadAsBuffer!]).toEqual([...slots]);
  });

  test('we read its packets', () => {
    const theirs = new Packet({
      universe: 300,
      sequence: 200,
      payload: { 1: 255, 7: 128 },
      sourceName: 'independent',
      priority: 42,
      useRawDmxValues: true,
    });
    const packet = decoded(theirs.buffer);
    expect(packet).toMatchObject({
      universe: 300,
      sequence: 200,
      sourceName: 'independent',
      priority: 42,
      startCode: 0,
      preview: false,
      terminated: false,
    });
    expect([packet.slots[0], packet.slots[6], packet.slots.length]).toEqual([255, 128, 512]);
  });
});

test('what is encoded is decoded', () => {
  fc.assert(
    fc.property(
      fc.uint8Array({ maxLength: 512 }),
      fc.integer({ min: 1, max: 63999 }),
      fc.integer({ min: 0, max: 200 }),
      fc.integer({ min: 0, max: 255 }),
      fc.tuple(fc.boolean(), fc.boolean(), fc.boolean()),
      (slots, universe, priority, sequence, [preview, terminated, forceSync]) => {
        const flags = { preview, terminated, forceSync };
        const packet = { ...plain, slots, universe, priority, sequence, startCode: 0xcc, ...flags };
        expect(decoded(encodeSacn(packet))).toEqual(packet);
      },
    ),
  );
});

describe('what receivers discard', () => {
  test.each([
    ['preamble', 1],
    ['post-amble', 3],
    ['packet identifier', 4],
    ['root vector', 21],
    ['framing vector', 43],
    ['property vector', 117],
    ['address type', 118],
    ['first property address', 120],
    ['address increment', 122],
  ])('a wrong %s', (name, at) => {
    const bytes = encodeSacn(plain);
    bytes[at]! ^= 0x08;
    expect(decodeSacn(bytes)).toEqual({ discard: expect.stringContaining(name) });
  });

  test('short ones, and those that announce more than they hold', () => {
    expect(decodeSacn(new Uint8Array(10))).toHaveProperty('discard');
    expect(decodeSacn(encodeSacn(plain).subarray(0, 600))).toHaveProperty('discard');
  });
});

test('a name is cut to 63 bytes between characters', () => {
  const name = decoded(encodeSacn({ ...plain, sourceName: 'ä'.repeat(40) })).sourceName;
  expect(name).toBe('ä'.repeat(31));
});

test('fields that do not fit are refused', () => {
  expect(() => encodeSacn({ ...plain, universe: 64000 })).toThrow('1 to 63999 expected');
  expect(() => encodeSacn({ ...plain, slots: new Uint8Array(513) })).toThrow('0 to 512 expected');
});

// ANSI E1.31-2018 6.7.2 (confirmed): discard when -20 < (int8)(new - last) <= 0.
test.each([
  [8, 7, false],
  [7, 7, true],
  [0, 255, false],
  [250, 5, true],
  [245, 8, true],
  [244, 8, false],
  [200, 8, false],
])('sequence %i after %i: out of sequence %s', (now, last, late) => {
  expect(outOfSequence(now, last)).toBe(late);
});

test('multicast groups', () => {
  expect([1, 7, 300, 63999].map(multicastGroup)).toEqual([
    '239.255.0.1',
    '239.255.0.7',
    '239.255.1.44',
    '239.255.249.255',
  ]);
});
