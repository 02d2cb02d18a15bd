import { expect, test } from 'vitest';
import { decodeFound, encodeFound } from '../../../drivers/dmx/rdm/discovery-response.ts';
import { decodeDeviceInfo, encodeDeviceInfo } from '../../../drivers/dmx/rdm/parameters.ts';
import { decodeRdm, encodeRdm, type RdmPacket } from '../../../drivers/dmx/rdm/rdm-packet.ts';
import { everybody, isFor, uidOf, uidText } from '../../../drivers/dmx/rdm/uid.ts';

const hex = (bytes: Iterable<number>) => Buffer.from([...bytes]).toString('hex');

/** GET STATUS_MESSAGES, the example of ANSI E1.20-2010 (from memory); its sum computed by hand: 1642 = 0x066a. */
const example: RdmPacket = {
  to: 0x123456789abc,
  from: 0xcba987654321,
  transaction: 0,
  portOrType: 1,
  waiting: 0,
  subDevice: 0,
  commandClass: 0x20,
  parameter: 0x0030,
  data: [0x04],
};
const exampleHex =
  'cc0119' +
  '123456789abc' +
  'cba987654321' +
  '000100' +
  '0000' +
  '20' +
  '0030' +
  '01' +
  '04' +
  '066a';

test('a message, byte by byte, with its checksum', () => {
  expect(hex(encodeRdm(example))).toBe(exampleHex);
  expect(decodeRdm(Buffer.from(exampleHex, 'hex'))).toEqual(example);
});

test.each([
  ['a wrong checksum', (bytes: Uint8Array) => (bytes[25] = 0x07), /checksum 0x66a expected, 0x76a/],
  ['a byte that flipped', (bytes: Uint8Array) => (bytes[24] = 5), /checksum 0x66b expected, 0x66a/],
  ['another START code', (bytes: Uint8Array) => (bytes[0] = 0), /START codes/],
  ['more than there is', (bytes: Uint8Array) => (bytes[2] = 40), /42 bytes expected, 27 found/],
])('%s is garbled', (_, spoil, why) => {
  const bytes = encodeRdm(example);
  spoil(bytes);
  expect(decodeRdm(bytes)).toEqual({ garbled: expect.stringMatching(why) });
});

test('an answer to discovery has each byte twice, with 0xaa and with 0x55 (ANSI E1.20-2010 7.5)', () => {
  const bytes = encodeFound(uidOf(0x7ff1, 0x0000002a));
  // 7f: ff 7f, f1: fb f5, 00: aa 55, 2a: aa 7f; sum 0xff+0x7f+0xfb+0xf5+3x(0xaa+0x55)+0xaa+0x7f = 1940 = 0x0794: af 57, be d5.
  expect(hex(bytes)).toBe(`fefefefefefefeaa${'ff7f'}fbf5aa55aa55aa55aa7f${'af57bed5'}`);
  expect(decodeFound(bytes)).toEqual({ uid: 0x7ff10000002a });
  // Some of the preamble may be lost while a line turns round.
  expect(decodeFound(bytes.subarray(5))).toEqual({ uid: 0x7ff10000002a });
});

test('two answers at once are garbled, and silence is silence', () => {
  const [one, other] = [encodeFound(uidOf(0x7ff1, 1)), encodeFound(uidOf(0x7ff1, 2))];
  expect(decodeFound(one.map((byte, index) => byte & (other[index] ?? 0)))).toBe('garbled');
  expect(decodeFound(one.map((byte, index) => byte | (other[index] ?? 0)))).toBe('garbled');
  expect(decodeFound(one.subarray(0, 20))).toBe('garbled');
  expect(decodeFound(new Uint8Array())).toBeNull();
});

test('device information has 19 bytes (ANSI E1.20-2010 10.5.1, from memory)', () => {
  const info = {
    ...{ model: 0x0601, category: 0x0509, software: 0x00010203, footprint: 14 },
    ...{ personality: 1, personalities: 2, startAddress: 300, subDevices: 0, sensors: 3 },
  };
  expect(hex(encodeDeviceInfo(info))).toBe(
    '0100' + '0601' + '0509' + '00010203' + '000e' + '0102' + '012c' + '0000' + '03',
  );
  expect(decodeDeviceInfo(encodeDeviceInfo(info))).toEqual(info);
  expect(decodeDeviceInfo([1, 0])).toBeNull();
});

test('ids, and who a broadcast is for', () => {
  expect(uidText(uidOf(0x7ff0, 42))).toBe('7ff0:0000002a');
  const own = uidOf(0x7ff1, 5);
  expect([own, everybody, uidOf(0x7ff1, 0xffffffff)].map((to) => isFor(to, own))).toEqual([
    true,
    true,
    true,
  ]);
  expect([own + 1, uidOf(0x7ff2, 0xffffffff)].map((to) => isFor(to, own))).toEqual([false, false]);
});
