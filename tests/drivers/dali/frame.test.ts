import { expect, test } from 'vitest';
import {
  addressByte,
  addressOf,
  backwardFrameTime,
  type DaliAddress,
  fadeTimeFrames,
  forwardFrameTime,
  levelFrame,
  primaryFrames,
} from '../../../drivers/dali/frame.ts';
import { needsTwice } from '../../../drivers/dali/opcodes.ts';

// Address bytes of IEC 62386-102, confirmed in public texts.
test.each<[DaliAddress, 0 | 1, number]>([
  [{ to: 'short', address: 0 }, 0, 0b0000_0000],
  [{ to: 'short', address: 63 }, 1, 0b0111_1111],
  [{ to: 'group', group: 0 }, 0, 0b1000_0000],
  [{ to: 'group', group: 15 }, 1, 0b1001_1111],
  [{ to: 'broadcast' }, 0, 0b1111_1110],
  [{ to: 'broadcast' }, 1, 0b1111_1111],
  [{ to: 'unaddressed' }, 1, 0b1111_1101],
])('%o with selector %i', (address, selector, byte) => {
  expect(addressByte(address, selector)).toBe(byte);
  expect(addressOf(byte)).toEqual(address);
});

test('special commands and reserved patterns address nobody', () => {
  for (let byte = 0xa0; byte < 0xfc; byte++) expect(addressOf(byte)).toBeNull();
});

test('configuration commands are 0x20 to 0x81 (confirmed)', () => {
  const twice = Array.from({ length: 256 }, (_, code) => code).filter((code) => needsTwice(code));
  expect([twice[0], twice.at(-1), twice.length]).toEqual([0x20, 0x81, 0x62]);
  expect(needsTwice(0xf2)).toBe(false);
  expect(needsTwice(0xf2, true)).toBe(true);
});

test('frames take 15.83 ms forward and 9.17 ms backward (confirmed)', () => {
  expect(forwardFrameTime * 1e3).toBeCloseTo(15.83, 2);
  expect(backwardFrameTime * 1e3).toBeCloseTo(9.17, 2);
});

test('frames of level, fade time and primary', () => {
  const address = { to: 'short', address: 5 } as const;
  expect(levelFrame(address, 128)).toEqual([0x0a, 128]);
  expect(fadeTimeFrames(address, 4)).toEqual([
    [0xa3, 4],
    [0x0b, 0x2e],
    [0x0b, 0x2e],
  ]);
  expect(primaryFrames(address, 3, 0x1234)).toEqual([
    [0xa3, 0x34],
    [0xc3, 0x12],
    [0xc5, 3],
    [0xc1, 8],
    [0x0b, 0xea],
  ]);
});
