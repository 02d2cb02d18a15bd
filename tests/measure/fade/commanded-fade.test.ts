import { describe, expect, it } from 'vitest';
import { channelFades } from '../../../harness/measure/features/fade/channel-fades.ts';
import {
  type CommandedFade,
  commandedFade,
} from '../../../harness/measure/features/fade/commanded-fade.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import type { Observation, Segment } from '../../../harness/measure/observation.ts';
import { type Channel, fade, lengthOf, levelAt, observe, recordOf, steps } from '../lamp-of.ts';

const linear = { kind: 'linear', bottom: 0.001 } as const;

/** A story of one channel. */
function storyOf(segments: readonly Segment[], change: Partial<Observation> = {}): Observation {
  return observe(fadeDuration, [{ channel: 'warm', segments }], 'warm', change);
}

function onALinearCurve(observation: Observation): Observation {
  return { ...observation, commanded: { ...observation.commanded, curve: linear } };
}

function shifted(segments: readonly Segment[], by: number): readonly Segment[] {
  return segments.map((one) => ({ ...one, from: one.from + by, to: one.to + by }));
}

function foundIn(observation: Observation): CommandedFade {
  const found = commandedFade(observation);
  if ('measured' in found) throw new Error(found.note);
  return found;
}

function noteOf(observation: Observation): string | undefined {
  const found = commandedFade(observation);
  return 'measured' in found ? found.note : 'found';
}

describe('the fade that was commanded', () => {
  it('has its instants, its plateaus, and the levels of its ends', () => {
    const observation = storyOf(fade(0.8, 0.1, 2));
    expect(foundIn(observation)).toMatchObject({
      from: 0.3,
      to: 2.3,
      before: { from: 0, to: 0.3 },
      after: { from: 2.3, to: 2.8 },
      straight: true,
      logarithmic: true,
    });
    const { startLevel, endLevel, startPlateau, endPlateau, course } = foundIn(observation);
    for (const start of [startLevel, startPlateau]) expect(start).toBeCloseTo(0.8, 12);
    for (const end of [endLevel, endPlateau]) expect(end).toBeCloseTo(0.1, 12);
    for (const part of [0, 0.3, 1]) expect(course(part)).toBe(part);
    expect(foundIn(onALinearCurve(observation)).logarithmic).toBe(false);
  });

  it.each([
    ['down', 1, 0, [1, 1, 0.001, 0]],
    ['up', 0, 1, [0, 0.001, 1, 1]],
  ] as const)('%s to the dark has the floor as the end of its ramp', (_, start, end, levels) => {
    const found = foundIn(storyOf(fade(start, end, 2)));
    const own = [found.startPlateau, found.startLevel, found.endLevel, found.endPlateau];
    for (const [k, level] of levels.entries()) expect(own[k]).toBeCloseTo(level, 12);
  });

  it('has plateaus that reach over marks and repeated commands, and end at another level', () => {
    const before = steps([
      [0.2, 0.5],
      [0.8, 0.4],
      [0.8, 0.3],
    ]);
    const rising = { from: 1.2, to: 2.2, startLevel: 0.8, endLevel: 0.1 };
    const after = shifted(
      steps([
        [0.1, 0.6],
        [0.1, 0.2],
        [0.5, 1],
      ]),
      2.2,
    );
    const found = foundIn(storyOf([...before, rising, ...after]));
    expect(found.before).toEqual({ from: 0.5, to: 1.2 });
    expect(found.after.from).toBe(2.2);
    expect(found.after.to).toBeCloseTo(3, 12);
  });

  it('has plateaus as long as those of all channels', () => {
    const warm = [...steps([[0.5, 0.2]]), ...shifted(fade(0.8, 0.1, 1, { before: 0.3 }), 0.2)];
    const cool = fade(0.1, 0.4, 1, { before: 0.5, after: 0.5 });
    const red = steps([
      [0.2, 0.25],
      [0.3, 1.45],
      [0.2, 0.3],
    ]);
    const channels = [
      { channel: 'warm', segments: warm },
      { channel: 'cool', segments: cool, lumen: 20 },
      { channel: 'red', segments: red, lumen: 1 },
    ];
    for (const all of [channels, [...channels].reverse()]) {
      const found = commandedFade(observe(fadeDuration, all, 'light'));
      expect(found).toMatchObject({ from: 0.5, to: 1.5, straight: false });
      expect(found).toMatchObject({
        before: { from: 0.25, to: 0.5 },
        after: { from: 1.5, to: 1.7 },
      });
    }
  });

  it('is none where nothing is commanded to change within the window', () => {
    expect(noteOf(storyOf(steps([[1, 2]])))).toBe('no fade of warm is commanded in the window');
    const story = shifted(fade(1, 0.1, 1), 2);
    const without = [
      { from: 0, to: 2.2 },
      { from: 2.4, to: 4 },
      { from: 0, to: 2.3 },
    ];
    for (const window of without)
      expect(noteOf(storyOf(story, { window }))).toMatch(/^no fade of warm/);
    // A window that opens at the instant of the command holds it, to within a microsecond.
    for (const from of [2.3, 2.3 + 5e-7])
      expect(foundIn(storyOf(story, { window: { from, to: 4 } })).from).toBeCloseTo(2.3, 12);
    // An abrupt change is none.
    const abrupt = [
      ...steps([[1, 1]]),
      { from: 1, to: 1, startLevel: 1, endLevel: 0.1 },
      { from: 1, to: 2, startLevel: 0.1, endLevel: 0.1 },
    ];
    expect(noteOf(storyOf(abrupt))).toMatch(/^no fade of warm/);
  });

  it('is not one of several', () => {
    const channels = (from: number, to: number): Channel[] => [
      { channel: 'warm', segments: fade(0.8, 0.1, 1) },
      {
        channel: 'cool',
        segments: [
          { from: 0, to: from, startLevel: 0.1, endLevel: 0.1 },
          { from, to, startLevel: 0.1, endLevel: 0.2 },
          { from: to, to: 3, startLevel: 0.2, endLevel: 0.2 },
        ],
      },
    ];
    const note = (from: number, to: number) =>
      noteOf(observe(fadeDuration, channels(from, to), 'light'));
    expect(note(0.3, 1.3)).toBe('found');
    expect(note(0.3 + 5e-7, 1.3 - 5e-7)).toBe('found');
    expect(note(0.3, 1.4)).toBe('more than one fade of light in the window');
    expect(note(0.4, 1.3)).toBe('more than one fade of light in the window');
  });

  it.each([
    ['follows', 0.3, 0],
    ['goes before', 0, 0.3],
  ])('is none that can be told from another that %s', (_, before, after) => {
    const [hold, ramp, end] = fade(1, 0.1, 1) as [Segment, Segment, Segment];
    const other = (from: number, startLevel: number, endLevel: number) => ({
      from,
      to: from + 0.5,
      startLevel,
      endLevel,
    });
    const story =
      after === 0 ? [hold, ramp, other(1.3, 0.1, 0.5)] : [other(-0.2, 0.5, 1), ramp, end];
    const window = { from: 0.3 - before / 10, to: 1.3 };
    expect(noteOf(storyOf(story, { window }))).toBe(
      'another fade follows or goes before without a plateau',
    );
  });

  it('has no plateau while another channel is under way', () => {
    const warm = { channel: 'warm', segments: fade(0.8, 0.1, 1, { before: 0.5, after: 0.5 }) };
    const cool = (from: number, to: number) => ({
      channel: 'cool',
      segments: [
        { from: 0, to: from, startLevel: 0.1, endLevel: 0.1 },
        { from, to, startLevel: 0.1, endLevel: 0.2 },
        { from: to, to: 2, startLevel: 0.2, endLevel: 0.2 },
      ],
    });
    const window = { from: 0.4, to: 2 };
    const observation = observe(fadeDuration, [warm, cool(0.2, 1)], 'light', { window });
    expect(noteOf(observation)).toBe('another fade follows or goes before without a plateau');
  });

  it('needs no story before or after it to have instants', () => {
    const [, ramp] = fade(1, 0.1, 1) as [Segment, Segment];
    const alone = foundIn(storyOf([ramp], { window: { from: 0, to: 2 } }));
    expect(alone).toMatchObject({ before: { from: 0, to: 0.3 }, after: { from: 1.3, to: 1.3 } });
  });
});

describe('the course of mixed light', () => {
  const mixed = (cool: readonly [number, number], curve?: typeof linear): Observation => {
    const observation = observe(
      fadeDuration,
      [
        { channel: 'warm', segments: fade(0.8, 0.1, 1), lumen: 300 },
        { channel: 'cool', segments: fade(cool[0], cool[1], 1), lumen: 100 },
      ],
      'light',
    );
    return curve ? { ...observation, commanded: { ...observation.commanded, curve } } : observation;
  };

  it('is that of the sum by lumen, in the logarithm (closed form)', () => {
    const found = foundIn(mixed([0.8, 0.4]));
    const level = (part: number) => (3 * 0.8 * 0.125 ** part + 0.8 * 0.5 ** part) / 4;
    expect(found.startLevel).toBeCloseTo(level(0), 9);
    expect(found.endLevel).toBeCloseTo(level(1), 9);
    for (const part of [0, 0.1, 0.37, 0.5, 0.999, 1]) {
      const way = Math.log(level(part) / level(0)) / Math.log(level(1) / level(0));
      expect(found.course(part)).toBeCloseTo(way, 5);
    }
  });

  it('is straight in light on a linear curve, though several channels take part', () => {
    const found = foundIn(mixed([0.8, 0.4], linear));
    expect(found.straight).toBe(false);
    for (const part of [0.1, 0.5, 0.9]) expect(found.course(part)).toBeCloseTo(part, 9);
  });

  it('goes on beyond its ends as it was there', () => {
    const { course } = foundIn(mixed([0.8, 0.4]));
    expect(course(-0.01)).toBeLessThan(0);
    expect(course(1.01)).toBeGreaterThan(1);
  });

  it('is none where the sum goes down and up again, or stands still', () => {
    const note = 'the mixed light does not rise or fall steadily; judge channel by channel';
    expect(noteOf(mixed([0.05, 0.9]))).toBe(note);
    expect(noteOf(mixed([0.1, 2.2], linear))).toBe(note);
  });
});

describe('the fades of all channels', () => {
  const channel = (name: string, segments: readonly Segment[]): Channel => ({
    channel: name,
    segments,
    waveform: recordOf((t) => levelAt(segments, t), lengthOf(segments), { rate: 2000 }),
  });

  it('are those whose level is commanded to change within the window', () => {
    const channels = [
      channel('warm', fade(0.8, 0.1, 1)),
      channel('cool', fade(0.1, 0.6, 1)),
      channel('red', steps([[0.2, 1.8]])),
      channel('blue', [
        ...steps([[0.5, 1.6]]),
        { from: 1.6, to: 1.8, startLevel: 0.5, endLevel: 0.6 },
      ]),
    ];
    const names = (window: Observation['window']) => {
      const found = channelFades(observe(fadeDuration, channels, 'lamp', { window }));
      if ('measured' in found) throw new Error(found.note);
      return found.map((each) => each.channel);
    };
    expect(names({ from: 0, to: 1.5 })).toEqual(['warm', 'cool']);
    expect(names({ from: 0.3, to: 1.6 })).toEqual(['warm', 'cool']);
    expect(names({ from: 0.3 + 5e-7, to: 1.6 })).toEqual(['warm', 'cool']);
  });

  it('are at least two, and it says how many there are', () => {
    const channels = [channel('warm', fade(0.8, 0.1, 1)), channel('red', steps([[0.2, 1.8]]))];
    const facts = { measured: false, reason: 'no-fade', note: 'channels that fade' };
    expect(channelFades(observe(fadeDuration, channels, 'lamp'))).toEqual({
      ...facts,
      ...{ found: 1, needed: 2, unit: '1' },
    });
    const window = { from: 0.4, to: 1.8 };
    expect(channelFades(observe(fadeDuration, channels, 'lamp', { window }))).toMatchObject({
      ...facts,
      found: 0,
    });
  });
});
