import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  fadeLine,
  isOk,
  percentText,
  readCommand,
  readIdentity,
  setLine,
} from '../../../drivers/console/command-line.ts';
import { alcove, channelNames, target } from '../plant/firmware/alcove.ts';

const link = alcove.links.console!;

test('lines are the templates filled in, per cent with up to 5 decimals', () => {
  const to = target(0.001, { warm: 0.62, indigo: 1 / 3 });
  expect(setLine(link, channelNames, to)).toBe('dim 0.1 mix 62 0 0 0 0 33.33333');
  expect(fadeLine(link, channelNames, to, 0.7)).toBe('fade 700 dim 0.1 mix 62 0 0 0 0 33.33333');
});

test.each([
  [0, '0'],
  [1, '100'],
  [0.1, '10'],
  [1e-7, '0.00001'],
  [1e-9, '0'],
])('%s is %s per cent', (ratio, text) => expect(percentText(ratio)).toBe(text));

test('what is written is read again', () => {
  const ratio = fc.double({ min: 0, max: 1, noNaN: true });
  fc.assert(
    fc.property(
      ratio,
      fc.array(ratio, { minLength: 6, maxLength: 6 }),
      fc.integer({ min: 0, max: 86400e3 }),
      (level, values, ms) => {
        const to = {
          level,
          intensities: Object.fromEntries(channelNames.map((name, i) => [name, values[i]!])),
        };
        const read = readCommand(link, fadeLine(link, channelNames, to, ms / 1000), 6);
        if (!('order' in read) || read.order !== 'light') throw new Error('not a light order');
        expect(read.level).toBeCloseTo(level, 7);
        for (const [i, value] of read.intensities.entries())
          expect(value).toBeCloseTo(values[i]!, 7);
        expect(read.over).toBe(ms / 1000);
      },
    ),
  );
});

describe('reading', () => {
  test.each([
    ['off', 'off'],
    [' restart ', 'reset'],
    ['who', 'identify'],
  ])('%s', (line, order) => expect(readCommand(link, line, 6)).toEqual({ order }));

  test.each([
    ['dim 50', 'unknown command'],
    ['dim -1 mix 1 1 1 1 1 1', 'unknown command'],
    ['dim 1e2 mix 1 1 1 1 1 1', 'unknown command'],
    ['dim 50 mix 1 1 1', '6 intensities wanted'],
    ['dim 50 mix 1 1 1 1 1 100.1', 'per cent out of range'],
    ['fade 86400001 dim 50 mix 1 1 1 1 1 1', 'time out of range'],
  ])('%s is refused', (line, refused) => {
    expect(readCommand(link, line, 6)).toEqual({ refused });
  });

  test('another grammar works as well', () => {
    const other = { ...link, set: 'L={level}% [{intensities}]' };
    expect(readCommand(other, 'L=25% [50 100]', 2)).toEqual({
      order: 'light',
      level: 0.25,
      intensities: [0.5, 1],
      over: 0,
    });
  });
});

test('replies', () => {
  expect(isOk(link, 'ok\r\n')).toBe(true);
  expect(isOk(link, 'ok then')).toBe(false);
  expect(readIdentity('Halden Display Lighting, Alcove-6, 17, 1.0.0')).toMatchObject({
    maker: 'Halden Display Lighting',
    model: 'Alcove-6',
    serial: '17',
    firmware: '1.0.0',
  });
  expect(readIdentity('Alcove')).toMatchObject({ maker: 'Alcove', model: '', serial: '' });
});
