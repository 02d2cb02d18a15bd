import { describe, expect, it } from 'vitest';
import { tellStory } from '../../harness/model/model-lamp.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';
import { alcove, dali, frames, from, lastAnswer, levelAt, line } from './told.ts';

const bounds = (channel: string, own: readonly string[], at = 60, options = from(254)) =>
  tellStory(alcove, frames(1, ...own), at, options).levelAt(channel, at);
const close = (value: number) => ({
  low: expect.closeTo(value, 9),
  high: expect.closeTo(value, 9),
});
/** Dim level of primary 2, half of full (32767 of 65534). */
const half = ['a3 ff', 'c3 7f', 'c5 02', 'c1 08', '0b ea'];
const activate = ['c1 08', '0b e2'];
/** 250 mirek. */
const white = ['a3 fa', 'c3 00', 'c1 08', '0b e7'];

/** IEC 62386-209, from memory. */
describe('colour control', () => {
  it('takes a primary to its channel and no other', () => {
    expect(bounds('red', [...half, ...activate])).toEqual(close(0.5));
    expect(bounds('lime', [...half, ...activate])).toEqual(close(1));
    expect(bounds('warm', [...half, ...activate])).toEqual(close(1));
  });

  it('tells at rest which temperature was asked for, until another link speaks', () => {
    const heard = frames(1, ...white, ...activate);
    const at = (more: Parameters<typeof tellStory>[1] = []) =>
      tellStory(alcove, [...heard, ...more], 9, from(254)).restAt(9);
    expect(at()).toEqual({ mirek: 250 });
    expect(at([line(5, `dim 10 mix ${'100 '.repeat(6).trim()}`)])).toEqual({ mirek: null });
    expect(at([line(8.5, `fade 2000 dim 10 mix ${'100 '.repeat(6).trim()}`)])).toBeNull();
  });

  it('tells none where another command came while the light was on its way to it', () => {
    const fading = frames(1, 'a3 04', '0b 2e x2', ...white, ...activate);
    const after = (at: number, frame: string) =>
      tellStory(alcove, [...fading, dali(at, frame)], 12, from(254)).restAt(12);
    expect(after(2.2, '0a ff')).toEqual({ mirek: null });
    expect(after(2.2, '0a 80')).toEqual({ mirek: null });
    expect(after(5, '0a ff')).toEqual({ mirek: 250 });
    expect(after(5, '0a 80')).toEqual({ mirek: 250 });
  });

  it('waits for ACTIVATE', () => {
    expect(bounds('red', half)).toEqual(close(1));
  });

  it('is for device type 8, enabled by the very frame before', () => {
    expect(bounds('red', [...half.slice(0, 3), '0b ea', ...activate])).toEqual(close(1));
    expect(bounds('red', [...half.slice(0, 3), 'c1 06', '0b ea', ...activate])).toEqual(close(1));
    expect(bounds('red', [...half, 'c1 08', '0d 91', '0b e2'])).toEqual(close(1));
  });

  it('fades with the fade time, at the level that there is', () => {
    const own = ['a3 04', '0b 2e x2', ...half, ...activate];
    expect(bounds('red', own, 1.45 + 1)).toEqual(close(Math.sqrt(0.5)));
    expect(bounds('red', own, 1.45 + 2)).toEqual(close(0.5));
  });

  it('may find a fade that goes on as it was', () => {
    // 4 s to full light, from the bottom of the curve; half-way ACTIVATE of a primary that says nothing of the others.
    const fading = frames(1, 'a3 06', '0b 2e x2', '0a fe');
    const heard = [
      ...fading,
      ...frames(3, 'a3 00', 'c3 00', 'c5 05', 'c1 08', '0b ea', ...activate),
    ];
    const { low, high } = tellStory(alcove, heard, 5, from(1)).levelAt('warm', 4.6);
    expect(low).toBeLessThan(0.1);
    expect(high).toBeGreaterThan(0.4);
  });

  it('may come with a level, too, which ends the waiting', () => {
    expect(bounds('red', [...half, '0a fe'])).toEqual({ low: expect.closeTo(0.5, 9), high: 1 });
    expect(bounds('red', [...half, '0a fe', ...activate])).toEqual(close(0.5));
  });

  it('knows of a colour temperature that each channel is at its level at most', () => {
    const own = ['0a aa', ...white, ...activate];
    expect(bounds('cool', own)).toEqual({ low: 0, high: expect.closeTo(0.100914, 6) });
    expect(tellStory(alcove, frames(1, ...own), 60, from(254)).whyWide(60)).toContain(
      'mixes its colour temperature',
    );
  });

  it('ends with a mix of another link', () => {
    const heard = [...frames(1, ...white, ...activate), line(5, 'dim 100 mix 1 2 3 4 5 6')];
    expect(tellStory(alcove, heard, 6, from(254)).levelAt('cool', 6)).toEqual(close(0.02));
    expect(lastAnswer([...heard, ...frames(7, 'c1 08', '0b f8')])).toEqual(['some-byte']);
    // And whether a step of colour temperature has something to step from is open.
    const stepped = [...heard, ...frames(7, 'c1 08', '0b e9')];
    const story = tellStory(alcove, stepped, 9, from(254));
    const fading = [...frames(8, 'a3 04', '0b 2e x2', '0b 90')];
    expect(lastAnswer([...stepped, ...fading])).toEqual(expect.arrayContaining([4, 20]));
    expect(story.levelAt('cool', 9)).toEqual({ low: 0, high: 1 });
    expect(story.whyWide(9)).toContain('another link has covered');
  });

  it('may or may not have a colour of nothing but MASK', () => {
    const none = ['a3 ff', 'c3 ff', 'c5 ff', 'c1 08', '0b eb', ...activate, 'c1 08', '0b f8'];
    expect(lastAnswer(frames(1, ...none))).toEqual(['some-byte']);
  });

  it('takes red, green and blue, of which 255 is no change', () => {
    const own = ['a3 7f', 'c3 ff', 'c5 00', 'c1 08', '0b eb', ...activate];
    expect(bounds('red', own)).toEqual({
      low: expect.closeTo(10 ** (126 / (253 / 3) - 3), 9),
      high: expect.closeTo(0.5, 9),
    });
    expect(bounds('lime', own)).toEqual(close(1));
    expect(bounds('indigo', own)).toEqual(close(0));
    expect(bounds('warm', own)).toEqual({ low: 0, high: 1 });
  });

  it('stores a colour with a scene, or lets it wait on', () => {
    const own = [...half, 'a3 fe', '0b 42 x2', '0b 12'];
    expect(bounds('red', own)).toEqual({ low: expect.closeTo(0.5, 9), high: 1 });
    expect(bounds('red', own.slice(0, -1))).toEqual(close(1));
    const toWhite = frames(1, ...white, 'a3 fe', '0b 42 x2', '0b 12');
    expect(tellStory(alcove, toWhite, 9, from(254)).levelAt('warm', 9)).toEqual({
      low: 0,
      high: 1,
    });
  });

  it.each([
    [
      'the temperature that was set, high byte',
      [...white, ...activate, 'a3 02', 'c1 08', '0b fa'],
      [0],
    ],
    ['its low byte in DTR0', [...white, ...activate, 'a3 02', 'c1 08', '0b fa', '0b 98'], [250]],
    [
      'one mirek more after STEP WARMER',
      [...white, ...activate, 'c1 08', '0b e9', 'a3 02', 'c1 08', '0b fa', '0b 98'],
      [251],
    ],
    [
      'one less after STEP COOLER',
      [...white, ...activate, 'c1 08', '0b e8', 'a3 02', 'c1 08', '0b fa', '0b 98'],
      [249],
    ],
    [
      'its own coolest white where more than 6500 K was asked for',
      ['a3 0a', 'c3 00', 'c1 08', '0b e7', ...activate, 'a3 02', 'c1 08', '0b fa', '0b 98'],
      ['some-byte'],
    ],
    [
      'its own warmest white where less than 2700 K was',
      ['a3 00', 'c3 08', 'c1 08', '0b e7', ...activate, 'a3 02', 'c1 08', '0b fa', '0b 98'],
      ['some-byte'],
    ],
    [
      'whether it was out of range, near the ends of its whites',
      ['a3 00', 'c3 08', 'c1 08', '0b e7', ...activate, 'c1 08', '0b f8'],
      [0x20, 0x22],
    ],
    ['that a temperature is active', [...white, ...activate, 'c1 08', '0b f8'], [0x20]],
    [
      'that primaries are active, and perhaps that a temperature was out of range',
      [...half, ...activate, 'c1 08', '0b f8'],
      [0x40, 0x42],
    ],
    ['some features', ['c1 08', '0b f7'], ['some-byte']],
    ['nothing without the device type', ['0b f8'], ['silence']],
  ])('tells %s', (_, own, answer) => {
    expect(lastAnswer(frames(1, ...own))).toEqual(answer);
  });

  it('keeps a narrower limit that was stored twice', () => {
    const limit = ['a3 f0', 'c3 00', 'c5 00', 'c1 08', '0b f2 x2'];
    const asked = [
      'a3 c8',
      'c3 00',
      'c1 08',
      '0b e7',
      ...activate,
      'a3 02',
      'c1 08',
      '0b fa',
      '0b 98',
    ];
    expect(lastAnswer(frames(1, ...limit, ...asked))).toEqual([0xf0]);
    expect(lastAnswer(frames(1, ...limit.slice(0, 4), '0b f2', ...asked))).toEqual([0xc8]);
  });

  it('is nothing that a lamp with more channels than primaries has', () => {
    const { tunableWhite: _, ...gear } = shippedLamp('alcove-9').links.dali ?? { shortAddress: 9 };
    const lamp = { ...shippedLamp('alcove-9'), links: { dali: { ...gear, shortAddress: 5 } } };
    expect(levelAt(frames(1, ...half, ...activate), 5, from(100), lamp)).toBe(100);
    expect(lastAnswer([...frames(1, 'c1 08'), dali(2, '0b f8')], from(100), lamp)).toEqual([
      'silence',
    ]);
  });
});
