import { expect, it } from 'vitest';
import { decodeSacn, encodeSacn } from '../../../drivers/sacn/packet.ts';
import { reworked } from '../../../drivers/sacn/reworked.ts';

const packet = encodeSacn({
  ...{ cid: new Uint8Array(16), sourceName: 'a', priority: 100, syncAddress: 0, sequence: 7 },
  ...{ preview: false, terminated: false, forceSync: false, universe: 1, startCode: 0 },
  slots: Uint8Array.of(1, 2, 3),
});

it('a packet without changes stays as it is', () => {
  expect(reworked(packet, {})).toEqual(packet);
});

it.each([
  ['priority', 7, { priority: 7 }],
  ['sync-address', 0x1234, { syncAddress: 0x1234 }],
  ['sequence', 250, { sequence: 250 }],
  ['options', 0x80, { preview: true }],
  ['universe', 0x1235, { universe: 0x1235 }],
  ['start-code', 0xdd, { startCode: 0xdd }],
  ['root-vector', 5, { discard: 'root vector 0x4 expected at byte 18, 0x5 found' }],
  ['framing-vector', 5, { discard: 'framing vector 0x2 expected at byte 40, 0x5 found' }],
  ['property-vector', 5, { discard: 'property vector 0x2 expected at byte 117, 0x5 found' }],
  ['address-type', 0xa2, { discard: 'address type 0xa1 expected at byte 118, 0xa2 found' }],
  ['first-address', 1, { discard: 'first property address 0x0 expected at byte 119, 0x1 found' }],
  ['address-increment', 2, { discard: 'address increment 0x1 expected at byte 121, 0x2 found' }],
  ['property-count', 9, { discard: '9 properties announced, 4 found' }],
  ['identifier', 0x41535a2d, { discard: 'packet identifier ASC-E1.17 expected at byte 4' }],
] as const)('field %s lies where the reader finds it', (name, value, read) => {
  expect(decodeSacn(reworked(packet, { fields: { [name]: value } }))).toMatchObject(read);
});

it('its length is cut and filled up, and a field that is cut off is left out', () => {
  expect(reworked(packet, { length: 100, fields: { 'start-code': 1 } })).toEqual(
    packet.slice(0, 100),
  );
  expect(reworked(packet, { length: 131 })).toEqual(Uint8Array.of(...packet, 0, 0));
});
