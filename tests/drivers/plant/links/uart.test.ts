import { describe, expect, test } from 'vitest';
import { receivedBytes } from '../../../../drivers/plant/links/uart.ts';

const line = { bitTime: 1, stopBits: 1 } as const;
const all = Array.from({ length: 256 }, (_, byte) => byte);
const bytesOf = (sent: readonly number[], rate: number, stopBits: 1 | 2 = 1) =>
  receivedBytes(sent, { bitTime: 1, stopBits }, rate).map(({ byte, framingError }) =>
    framingError ? `framing error ${byte}` : byte,
  );

describe('a serial receiver', () => {
  test.each([1, 1.03, 0.97, 1.045, 0.955])(
    'reads every byte alone where its clock is within 4.5 %%: %d times',
    (rate) => {
      for (const byte of all) expect(bytesOf([byte], rate)).toEqual([byte]);
    },
  );

  test.each([1, 1.03, 0.97])('reads bytes that follow at once, %d times as fast', (rate) => {
    expect(bytesOf(all, rate)).toEqual(all);
    expect(bytesOf(all, rate, 2)).toEqual(all);
  });

  // Half a bit of the 9.5 up to the middle of the stop bit is 5.3 %.
  test('sees the last data bit in place of the stop bit where its clock is 6 % fast', () => {
    expect(bytesOf([0x00], 1.06)).toEqual(['framing error 0']);
    expect(bytesOf([0x80], 1.06)).toEqual([0x80]);
    expect(bytesOf([0x7f], 1.06)).toEqual(['framing error 127']);
  });

  test('sees the stop bit in place of the last data bit where it is 6 % slow', () => {
    expect(bytesOf([0x00], 0.94)).toEqual([0x80]);
    expect(bytesOf([0x41], 0.94)).toEqual([0xc1]);
  });

  test('waits for a high line after a stop bit that was low', () => {
    expect(bytesOf([0x00, 0xff], 1.06)).toEqual(['framing error 0', 0xff]);
  });

  test('says when a byte is over by its own clock', () => {
    const [, second] = receivedBytes([1, 2], line, 1);
    expect(second?.at).toBe(20);
    expect(receivedBytes([1, 2], line, 1.02)[1]?.at).toBeCloseTo(10 + 10 / 1.02, 9);
  });
});
