import { describe, expect, it } from 'vitest';
import type { Heard } from '../../harness/bench/heard.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { tellStory } from '../../harness/model/model-lamp.ts';
import { alcove, all, dali, from, lastAnswer, levelAt, line, nominal } from './told.ts';

const light = (heard: readonly Heard[], at: number, channel = 'warm', lamp: Lamp = alcove) =>
  tellStory(lamp, heard, 100, nominal).levelAt(channel, at);
const exactly = (value: number) => ({
  low: expect.closeTo(value, 9),
  high: expect.closeTo(value, 9),
});
const bytes = (at: number, text: string): Heard => ({
  kind: 'console-bytes',
  at,
  bytes: Array.from(text, (letter) => letter.charCodeAt(0)),
});

describe('the console', () => {
  it('is dark before anything was said', () => {
    expect(light([], 5)).toEqual(exactly(0));
  });

  it('sets level times intensity, by the template of the lamp file', () => {
    const heard = [line(1, 'dim 50 mix 40 0 0.5 100 0 0')];
    expect(light(heard, 1)).toEqual(exactly(0.2));
    expect(light(heard, 1, 'cool')).toEqual(exactly(0));
    expect(light(heard, 1, 'red')).toEqual(exactly(0.0025));
    expect(light(heard, 0.999)).toEqual(exactly(0));
    expect(lastAnswer(heard)).toEqual(['ok']);
  });

  it('reads the words of another lamp file', () => {
    const own = { ...alcove.links.console, set: 'L={level}; C={intensities}', ok: 'done' };
    const lamp = { ...alcove, links: { console: own } } as Lamp;
    const heard = [line(1, 'L=50; C=10 20 30 40 50 60'), line(2, `dim 100 mix ${all}`)];
    expect(light(heard, 3, 'cool', lamp)).toEqual(exactly(0.1));
    expect(lastAnswer(heard.slice(0, 1), nominal, lamp)).toEqual(['done']);
    expect(lastAnswer(heard, nominal, lamp)).toEqual(['other-line', 'silence']);
  });

  it.each([
    ['too few intensities', 'dim 50 mix 10 20'],
    ['too many', 'dim 50 mix 10 10 10 10 10 10 10'],
    ['more than 100 %', `dim 101 mix ${all}`],
    ['a negative level', `dim -1 mix ${all}`],
    ['no figure', `dim x mix ${all}`],
    ['words before it', `please dim 50 mix ${all}`],
    ['words behind it', `dim 50 mix ${all} now`],
    ['another word', 'fde 100 dim 1 mix 1 1 1 1 1 1'],
    ['a fade of more than a day', `fade 86400001 dim 50 mix ${all}`],
    ['nothing', ''],
  ])('changes nothing on %s', (_, text) => {
    const heard = [line(1, `dim 30 mix ${all}`), line(2, text)];
    expect(light(heard, 3)).toEqual(exactly(0.3));
    expect(lastAnswer(heard)).toEqual(['other-line', 'silence']);
  });

  it('leaves open whether a lamp bears other spaces and other figures', () => {
    for (const text of [
      `  dim 80 mix ${all}`,
      `dim  80 mix ${all}`,
      `dim 80. mix ${all}`,
      `dim 8e1 mix ${all}`,
      `dim 80% mix ${all}`,
      `dim 80 mix ${all.replaceAll(' ', ', ')}`,
    ]) {
      const heard = [line(1, `dim 30 mix ${all}`), line(2, text)];
      expect(light(heard, 3)).toEqual({
        low: expect.closeTo(0.3, 9),
        high: expect.closeTo(0.8, 9),
      });
      expect(tellStory(alcove, heard, 3, nominal).whyWide(3)).toContain('another way');
    }
  });

  it('fades straight in the domain of the dimming curve', () => {
    const heard = [line(1, `dim 100 mix ${all}`), line(2, 'fade 4000 dim 1 mix 100 50 0 0 0 100')];
    expect(light(heard, 4)).toEqual(exactly(0.1));
    expect(light(heard, 4, 'cool')).toEqual(exactly(Math.sqrt(0.005)));
    expect(light(heard, 6)).toEqual(exactly(0.01));
    expect(light(heard, 4, 'indigo')).toEqual(exactly(0.1));
  });

  it('fades from the bottom of the curve, and to it before it goes off', () => {
    const up = [line(1, 'fade 2000 dim 100 mix 100 1 0 0 0 0')];
    expect(light(up, 2)).toEqual(exactly(Math.sqrt(0.001)));
    expect(light(up, 1)).toEqual(exactly(0.001));
    const down = [line(1, `dim 100 mix ${all}`), line(2, `fade 2000 dim 0 mix ${all}`)];
    expect(light(down, 3)).toEqual(exactly(Math.sqrt(0.001)));
    expect(light(down, 4)).toEqual(exactly(0));
  });

  it('fades straight in brightness on a linear curve', () => {
    const lamp: Lamp = { ...alcove, curve: { kind: 'linear', bottom: 0.001 } };
    const heard = [line(1, `dim 100 mix ${all}`), line(2, `fade 4000 dim 20 mix ${all}`)];
    expect(light(heard, 4, 'warm', lamp)).toEqual(exactly(0.6));
  });

  it('takes a new command in mid-fade from the light of that instant: the last one wins', () => {
    const heard = [line(1, `dim 100 mix ${all}`), line(2, `fade 4000 dim 1 mix ${all}`)];
    expect(light([...heard, line(4, `dim 80 mix ${all}`)], 5)).toEqual(exactly(0.8));
    expect(light([...heard, line(4, `fade 2000 dim 100 mix ${all}`)], 5)).toEqual(
      exactly(Math.sqrt(0.1)),
    );
  });

  it('goes off at once, and keeps the mix for a level that comes by DALI', () => {
    const heard = [line(1, 'dim 100 mix 50 0 0 0 0 0'), line(2, 'off')];
    expect(light(heard, 2)).toEqual(exactly(0));
    expect(light([...heard, dali(3, '0a fe')], 4)).toEqual(exactly(0.5));
  });

  it('says who it is, and how warm, without moving the light', () => {
    const heard = [line(1, `dim 30 mix ${all}`), line(2, 'temp'), line(3, 'who')];
    expect(light(heard, 4)).toEqual(exactly(0.3));
    expect(lastAnswer(heard)).toEqual(['other-line']);
    expect(lastAnswer(heard.slice(0, 2))).toEqual(['other-line']);
  });

  it('restarts by its word, and comes back with the light that it had', () => {
    const heard = [line(1, `dim 30 mix ${all}`), line(2, 'restart')];
    const story = tellStory(alcove, heard, 4, {
      ...nominal,
      memory: { level: 0, powerOnLevel: 255, systemFailureLevel: 254 },
    });
    expect(story.levelAt('warm', 2.1)).toEqual({ low: 0, high: expect.closeTo(0.3, 9) });
    expect(story.levelAt('warm', 3)).toEqual(exactly(0.3));
  });

  it('does not mind bytes that are no line, nor a line that they close', () => {
    const heard = [line(1, `dim 30 mix ${all}`), bytes(2, '\x81zz'), bytes(2.1, 'q\r')];
    expect(light(heard, 3)).toEqual(exactly(0.3));
    expect(lastAnswer(heard.slice(0, 2))).toEqual(['other-line', 'silence']);
  });

  it('obeys a line within bytes', () => {
    expect(light([bytes(1, `x\ndim 40 mix ${all}\n`)], 2)).toEqual(exactly(0.4));
  });

  it('leaves open whether bytes before a line spoil it', () => {
    const heard = [line(1, `dim 30 mix ${all}`), bytes(2, 'zz'), line(3, `dim 60 mix ${all}`)];
    expect(light(heard, 4)).toEqual({ low: expect.closeTo(0.3, 9), high: expect.closeTo(0.6, 9) });
    expect(light([...heard, line(4, `dim 60 mix ${all}`)], 5)).toEqual(exactly(0.6));
  });

  it('leaves open what a lamp does with a level below its bottom', () => {
    expect(light([line(1, `dim 0.05 mix ${all}`)], 2)).toEqual({
      low: expect.closeTo(0.0005, 9),
      high: expect.closeTo(0.001, 9),
    });
  });

  it('leaves open whether MAX of the gear holds for the console', () => {
    const heard = [
      dali(1, 'a3 aa'),
      dali(1.05, '0b 2a'),
      dali(1.1, '0b 2a'),
      line(2, `dim 100 mix ${all}`),
    ];
    expect(light(heard, 3)).toEqual({
      low: expect.closeTo(0.100914, 6),
      high: expect.closeTo(1, 9),
    });
  });

  it('moves only the lamp that it is: another link may move it on', () => {
    expect(levelAt([line(1, `dim 30 mix ${all}`), dali(2, '0a 64')], 3, from(254))).toBe(100);
  });
});

describe('bounds', () => {
  const heard = [line(1, `dim 100 mix ${all}`), line(2, `fade 4000 dim 1 mix ${all}`)];
  const bounds = (at: number, options = {}) =>
    tellStory(alcove, heard, 9, { ...nominal, ...options }).levelAt('warm', at);

  it('hold both sides of a jump for the latency, and no longer', () => {
    const latency = { latency: { ...nominal.latency, console: 0.02 } };
    expect(bounds(1.02, latency)).toEqual({ low: 0, high: 1 });
    expect(bounds(1.0201, latency)).toEqual(exactly(1));
    expect(bounds(0.9999, latency)).toEqual(exactly(0));
  });

  it('hold a fade that began late, or runs a little fast or slow', () => {
    const late = bounds(4, { latency: { ...nominal.latency, console: 0.02 } });
    expect(late).toEqual({
      low: expect.closeTo(0.1, 9),
      high: expect.closeTo(0.01 ** (1.98 / 4), 9),
    });
    const slow = bounds(4, { fadeTolerance: 0.05 });
    expect(slow).toEqual({
      low: expect.closeTo(0.01 ** (2.1 / 4), 9),
      high: expect.closeTo(0.01 ** (1.9 / 4), 9),
    });
    expect(bounds(6.3, { fadeTolerance: 0.05 })).toEqual(exactly(0.01));
    const ticks = bounds(4, { tick: 0.004 });
    expect(ticks).toEqual({
      low: expect.closeTo(0.01 ** (2.004 / 4), 9),
      high: expect.closeTo(0.01 ** (1.996 / 4), 9),
    });
  });

  it('hold the tolerance of the level, and one code of the modulator', () => {
    expect(bounds(8, { levelTolerance: 0.05 })).toEqual({
      low: expect.closeTo(0.01 / 1.05, 9),
      high: expect.closeTo(0.0105, 9),
    });
    expect(bounds(0.5, { lightFloor: 1e-5 })).toEqual({ low: 0, high: 1e-5 });
  });

  it('name the event that the light follows', () => {
    const story = tellStory(alcove, [...heard, line(3, 'nonsense')], 9, nominal);
    expect([0.5, 1, 1.5, 2, 5].map((at) => story.leadAt('red', at))).toEqual([-1, 0, 0, 1, 1]);
  });

  it('refuse a channel that the lamp has not, and events out of order', () => {
    expect(() => tellStory(alcove, heard, 9).levelAt('white', 1)).toThrow(
      'a channel of alcove-6 expected',
    );
    expect(() => tellStory(alcove, heard.toReversed(), 9)).toThrow(
      'an instant from 2 s on expected, 1 s found',
    );
    expect(() => tellStory(alcove, heard, 1)).toThrow('an instant from 2 s on expected, 1 s found');
  });
});
