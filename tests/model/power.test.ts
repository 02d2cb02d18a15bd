import { describe, expect, it } from 'vitest';
import type { Heard } from '../../harness/bench/heard.ts';
import { type StoryOptions, tellStory } from '../../harness/model/model-lamp.ts';
import { alcove, all, dali, frames, from, lastAnswer, line, nominal } from './told.ts';

const exactly = (value: number) => ({
  low: expect.closeTo(value, 9),
  high: expect.closeTo(value, 9),
});
const told = (heard: readonly Heard[], options: StoryOptions = nominal) =>
  tellStory(alcove, heard, 1e7, options);
const light = (heard: readonly Heard[], at: number, options: StoryOptions = nominal) =>
  told(heard, options).levelAt('warm', at);
const supply = (at: number, volts: number): Heard => ({ kind: 'supply', at, volts });
const bus = (at: number, powered: boolean): Heard => ({ kind: 'dali-bus', at, powered });
const lit = line(1, `dim 60 mix ${all}`);
/** DTR0, and a configuration command twice. */
const set = (at: number, value: number, code: string) => [
  dali(at, [0xa3, value]),
  dali(at + 0.05, `0b ${code}`),
  dali(at + 0.1, `0b ${code}`),
];

describe('the supply', () => {
  it('is dark at once without power, and lit again after the start-up', () => {
    const heard = [lit, supply(2, 0), supply(5, 48)];
    expect(light(heard, 2)).toEqual(exactly(0));
    expect(light(heard, 4.99)).toEqual(exactly(0));
    expect(light(heard, 5.6)).toEqual({ low: 0, high: expect.closeTo(0.6, 9) });
    expect(light(heard, 5.67)).toEqual(exactly(0.6));
  });

  it('glows on for the afterglow', () => {
    const story = told([lit, supply(2, 0)], { ...nominal, afterglow: 0.1 });
    expect(story.levelAt('warm', 2.09)).toEqual({ low: 0, high: expect.closeTo(0.6, 9) });
    expect(story.levelAt('warm', 2.11)).toEqual(exactly(0));
  });

  it('does not mind voltages between the lowest and the highest of the lamp file', () => {
    const story = told([lit, supply(2, 44), supply(2.02, 48), supply(3, 52), supply(4, 48)]);
    for (const at of [2, 2.01, 2.5, 3.5, 5])
      expect(story.levelAt('warm', at)).toEqual(exactly(0.6));
    expect(story.whyWide(2.01)).toBeNull();
  });

  it('begins with it as the lamp is delivered: dark until it has started, then at its POWER ON LEVEL', () => {
    const delivered = (memory: NonNullable<StoryOptions['memory']>) => ({
      ...nominal,
      startUp: 0.66,
      memory,
    });
    const low = delivered({ level: 1, powerOnLevel: 170, systemFailureLevel: 255 });
    expect(light([supply(0, 48)], 0.5, low).low).toBe(0);
    expect(light([supply(0, 48)], 0.7, low).high).toBeCloseTo(0.100914, 6);
    const last = delivered({ level: 0.3, powerOnLevel: 255, systemFailureLevel: 255 });
    expect(light([supply(0, 48)], 0.5, last)).toEqual({ low: 0, high: expect.closeTo(0.3, 9) });
    expect(light([supply(0, 48)], 0.7, last)).toEqual(exactly(0.3));
  });

  it('counts that level as the last active one, and keeps it within limits that come meanwhile', () => {
    const low = {
      ...nominal,
      startUp: 0.66,
      memory: { level: 0, powerOnLevel: 170, systemFailureLevel: 255 },
    };
    const recalled = light([supply(0, 48), dali(2, '0a 00'), dali(3, '0b 0a')], 4, low);
    expect(recalled.low).toBeCloseTo(0.100914, 6);
    const limited = [supply(0, 48), ...set(0.1, 100, '2a')];
    expect(light(limited, 0.5, low).low).toBe(0);
    expect(light(limited, 1, low).high).toBeCloseTo(0.100914, 6);
    expect(light(limited, 1, low).low).toBeCloseTo(10 ** (99 / (253 / 3) - 3), 6);
  });

  it('may give less light below the lowest voltage, and restart as it returns', () => {
    const story = told([lit, supply(2, 43), supply(3, 48)]);
    expect(story.levelAt('warm', 2.5)).toEqual({ low: 0, high: expect.closeTo(0.6, 9) });
    expect(story.whyWide(2.5)).toContain('below the lowest voltage');
    expect(story.levelAt('warm', 3.3)).toEqual({ low: 0, high: expect.closeTo(0.6, 9) });
    expect(story.levelAt('warm', 4)).toEqual(exactly(0.6));
  });

  it('may live through a short gap with the fade that it was in, or not', () => {
    const heard = [lit, line(2, `fade 8000 dim 6 mix ${all}`), supply(4, 0), supply(4.02, 48)];
    const story = told(heard, { ...nominal, afterglow: 0.1 });
    const { low, high } = story.levelAt('warm', 6);
    expect(low).toBeCloseTo(0.06, 9);
    expect(high).toBeCloseTo(0.6, 9);
    expect(story.whyWide(6)).toContain('lived through');
    expect(told([...heard, line(7, 'off')]).levelAt('warm', 8)).toEqual(exactly(0));
  });

  it('comes back between the ends of a fade that the power interrupted, which may be stored when it is over', () => {
    const heard = [lit, line(2, `fade 8000 dim 6 mix ${all}`), supply(4, 0), supply(6, 48)];
    expect(light(heard, 8)).toEqual({
      low: expect.closeTo(0.06, 9),
      high: expect.closeTo(0.6, 9),
    });
    expect(told(heard).whyWide(8)).toContain('on its way');
    const storing = { ...nominal, storing: 1 };
    const faded = (off: number) => [lit, line(2, `fade 8000 dim 6 mix ${all}`), supply(off, 0)];
    const at = (off: number) => told([...faded(off), supply(20, 48)], storing).levelAt('warm', 22);
    expect(at(10.9)).toMatchObject({ high: expect.closeTo(0.6, 9) });
    expect(at(11.1)).toEqual(exactly(0.06));
  });

  it('may not have stored where a fade was to end before another one came', () => {
    const storing = { ...nominal, storing: 1 };
    const faded = [lit, line(3, `fade 4000 dim 6 mix ${all}`), line(7.5, `dim 20 mix ${all}`)];
    const back = (off: number) =>
      told([...faded, supply(off, 0), supply(20, 48)], storing).levelAt('warm', 22);
    expect(back(8)).toEqual({ low: expect.closeTo(0.06, 9), high: expect.closeTo(0.6, 9) });
    expect(back(9)).toEqual(exactly(0.2));
  });

  it('comes back with either mix of a crossfade that the power interrupted', () => {
    const heard = [
      line(1, 'dim 60 mix 100 0 0 0 0 0'),
      line(2, 'fade 8000 dim 60 mix 50 0 0 0 0 0'),
      supply(4, 0),
      supply(6, 48),
    ];
    expect(light(heard, 8)).toEqual({ low: expect.closeTo(0.3, 9), high: expect.closeTo(0.6, 9) });
    expect(told(heard).whyWide(8)).toContain('mix');
  });

  it('does not know how a gear starts that was set from a register of unknown content', () => {
    const heard = [
      supply(1, 0),
      supply(2, 48),
      dali(4, '0b 2d'),
      dali(4.05, '0b 2d'),
      supply(6, 0),
      supply(7, 48),
    ];
    expect(light(heard, 6.5)).toEqual(exactly(0));
    expect(light(heard, 9)).toEqual({ low: 0, high: 1 });
    expect(told(heard).whyWide(9)).toContain('register');
  });

  it('leaves open whether a POWER ON LEVEL beyond MIN is a limit error', () => {
    const starts = (wanted: number) => [
      ...set(1, 200, '2b'),
      ...set(1.5, wanted, '2d'),
      supply(3, 0),
      supply(4, 48),
      dali(6, '0b 94'),
    ];
    expect(lastAnswer(starts(100))?.toSorted()).toEqual([255, 'silence']);
    expect(lastAnswer(starts(210))).toEqual(['silence']);
    expect(lastAnswer(starts(0))).toEqual(['silence']);
  });

  it('may have forgotten what was set just before', () => {
    const heard = [lit, line(3, `dim 20 mix ${all}`), supply(3.2, 0), supply(6, 48)];
    const storing = { ...nominal, storing: 0.5 };
    expect(light(heard, 8, storing)).toEqual({
      low: expect.closeTo(0.2, 9),
      high: expect.closeTo(0.6, 9),
    });
    expect(
      light([lit, line(3, `dim 20 mix ${all}`), supply(3.6, 0), supply(6, 48)], 8, storing),
    ).toEqual(exactly(0.2));
  });

  it('may have forgotten a setting that came just before', () => {
    const heard = [...set(1, 4, '2e'), supply(1.2, 0), supply(4, 48), dali(6, '0b a5')];
    expect(lastAnswer(heard, { ...nominal, storing: 0.5 })?.toSorted()).toEqual([0x07, 0x47]);
    expect(lastAnswer(heard, nominal)).toEqual([0x47]);
  });

  it('keeps settings of the gear, and forgets its registers (9.13 of IEC 62386-102)', () => {
    const cycled = [...set(1, 4, '2e'), dali(2, '0a 64'), supply(3, 0), supply(4, 48)];
    expect(lastAnswer([...cycled, dali(6, '0b a5')])).toEqual([0x47]);
    expect(lastAnswer([...cycled, dali(6, '0b 98')])).toEqual(['some-byte']);
    expect(lastAnswer([...cycled, dali(6, '0b 9b')])).toEqual([255]);
    expect(lastAnswer([...cycled, dali(6, '0a 64'), dali(6.1, '0b 9b')])).toEqual(['silence']);
  });

  it('goes to POWER ON LEVEL, within MIN and MAX, or to the last level where that is MASK (9.13)', () => {
    const cycled = (level: number) => [
      ...set(1, level, '2d'),
      dali(2, '0a 64'),
      supply(3, 0),
      supply(4, 48),
    ];
    expect(light(cycled(170), 6, from(254)).low).toBeCloseTo(0.100914, 6);
    expect(light(cycled(0), 6, from(254))).toEqual(exactly(0));
    expect(light(cycled(255), 6, from(254)).low).toBeCloseTo(0.014925, 6);
    expect(light([...set(0.5, 126, '2a'), ...cycled(170)], 6, from(254)).low).toBeCloseTo(
      0.03035,
      5,
    );
  });

  it('hears nothing without power', () => {
    const heard = [lit, supply(2, 0), line(3, `dim 10 mix ${all}`), dali(3.5, '0b 91')];
    expect(lastAnswer(heard)).toEqual(['silence']);
    expect(light([...heard, supply(4, 48)], 6)).toEqual(exactly(0.6));
  });

  it('may or may not hear a command while it starts', () => {
    const heard = [lit, supply(2, 0), supply(4, 48), line(4.2, `dim 10 mix ${all}`)];
    expect(light(heard, 6)).toEqual({ low: expect.closeTo(0.1, 9), high: expect.closeTo(0.6, 9) });
    expect(lastAnswer(heard)).toEqual(['any']);
    const after = [lit, supply(2, 0), supply(4, 48), line(4.4, `dim 10 mix ${all}`)];
    expect(light(after, 6)).toEqual(exactly(0.1));
    expect(light(after, 4.41)).toEqual(exactly(0.1));
  });

  it('may dim itself in air that it is not rated for', () => {
    const heard: Heard[] = [
      lit,
      { kind: 'air', at: 2, celsius: 61 },
      { kind: 'air', at: 3, celsius: 60 },
    ];
    expect(light(heard, 2.5)).toEqual({ low: 0, high: expect.closeTo(0.6, 9) });
    expect(told(heard).whyWide(2.5)).toContain('rated');
    expect(light(heard, 3.5)).toEqual(exactly(0.6));
  });
});

describe('what is left open', () => {
  it('is told apart in a stream that goes on while the lamp starts, and over when it has started', () => {
    const stream: Heard[] = Array.from({ length: 240 }, (_, index) => ({
      kind: 'dmx',
      at: 1 + 0.025 * index,
      startCode: 0,
      slots: Array(14).fill(200),
    }));
    const heard = [...stream, supply(3, 0), supply(4, 48)].toSorted(
      (one, other) => one.at - other.at,
    );
    const story = told(heard);
    const { low, high } = story.levelAt('warm', 2.9);
    expect(low).toBe(high);
    expect(story.whyWide(4.3)).toBe('a command came while the lamp started');
    expect(story.levelAt('warm', 4.3)).toEqual({ low: 0, high });
    expect(story.levelAt('warm', 5)).toEqual({ low, high });
    expect(story.whyWide(5)).toBeNull();
  });

  it('is told apart over several power cycles, too, and forgotten when it cannot matter any more', () => {
    const stream: Heard[] = Array.from({ length: 400 }, (_, index) => ({
      kind: 'dmx',
      at: 1 + 0.025 * index,
      startCode: 0,
      slots: Array(14).fill(200),
    }));
    const cycles = [3, 5, 7].flatMap((at) => [supply(at, 0), supply(at + 1, 48)]);
    const heard = [...stream, ...cycles].toSorted((one, other) => one.at - other.at);
    const story = told(heard, {});
    expect(story.whyWide(8.3)).toBe('a command came while the lamp started');
    expect(story.whyWide(10)).toBeNull();
    expect(story.end.worlds).toHaveLength(1);
  });

  it('has the reason of its own after another was decided', () => {
    const heard = [lit, line(1.2, ' off'), line(2, `dim 50 mix ${all}`), dali(3, '0b 0c')];
    expect(told(heard).whyWide(1.5)).toContain('another way');
    expect(told(heard).whyWide(2.5)).toBeNull();
    expect(told(heard).whyWide(4)).toContain('later edition');
  });

  it('is too much beyond a couple of dozen cases, until a line says all', () => {
    const undecided = Array.from({ length: 12 }, (_, scene) => [
      dali(1 + scene, [0xa3, 20 * scene + 10]),
      dali(1.05 + scene, [0x0b, 0x40 + scene]),
      dali(1.15 + scene, [0x0b, 0x40 + scene]),
    ]).flat();
    const story = told([...undecided, line(20, `dim 40 mix ${all}`), dali(30, '0b 10')]);
    expect(story.levelAt('warm', 15)).toEqual({ low: 0, high: 1 });
    expect(story.whyWide(15)).toContain('more undecided cases');
    expect(story.levelAt('warm', 25)).toEqual(exactly(0.4));
    expect(story.levelAt('warm', 31)).toEqual({ low: 0, high: 1 });
  });
});

describe('a restart', () => {
  it('lets the lamp start before it acts on a bus that is without power', () => {
    const heard: Heard[] = [dali(1, '0a c8'), bus(2, false), { kind: 'reset', at: 5 }];
    const starts = { ...from(0), startUp: 0.8 };
    expect(light(heard, 5.7, starts).low).toBe(0);
    expect(light(heard, 5.81, starts)).toEqual(exactly(1));
  });

  it('comes back as after power-on', () => {
    const heard: Heard[] = [lit, { kind: 'reset', at: 2 }];
    expect(light(heard, 2.1)).toEqual({ low: 0, high: expect.closeTo(0.6, 9) });
    expect(light(heard, 2.7)).toEqual(exactly(0.6));
  });

  it('forgets slots and sources: the next frame counts in any case', () => {
    const slots = [255, 255, 255, 255, ...Array(10).fill(0)];
    const frame = (at: number): Heard => ({ kind: 'dmx', at, startCode: 0, slots });
    expect(
      light([frame(1), { kind: 'reset', at: 2 }, line(3, `dim 10 mix ${all}`), frame(4)], 5),
    ).toEqual(exactly(1));
  });
});

describe('the DALI bus', () => {
  const half = from(126, { systemFailureLevel: 170 });

  it('without power for half a second takes the gear to SYSTEM FAILURE LEVEL (9.12)', () => {
    expect(light([bus(2, false)], 2.49, half).low).toBeCloseTo(0.03035, 5);
    expect(light([bus(2, false)], 2.5, half).low).toBeCloseTo(0.100914, 6);
    expect(light([bus(2, false)], 2.5, from(126)).low).toBe(1);
  });

  it('changes nothing where that is MASK, nor when the power is back in time', () => {
    expect(light([bus(2, false)], 9, from(254, { systemFailureLevel: 255 }))).toEqual(exactly(1));
    expect(light([bus(2, false), bus(2.4, true)], 9, half).low).toBeCloseTo(0.03035, 5);
  });

  it('leaves open what the gear does when the power is back at that moment', () => {
    const slack = { ...half, lossDelay: 0.25 };
    const story = told([bus(2, false), bus(2.5, true)], slack);
    expect(story.levelAt('warm', 3).low).toBeCloseTo(0.03035, 5);
    expect(story.levelAt('warm', 3).high).toBeCloseTo(0.100914, 6);
    expect(story.whyWide(3)).toContain('as it was failing');
    expect(light([bus(2, false), bus(2.56, true)], 3, slack).low).toBeCloseTo(0.100914, 6);
    const moved = [bus(2, false), line(2.48, `dim 20 mix ${all}`), bus(2.5, true)];
    expect(light(moved, 3, slack)).toEqual(exactly(0.2));
  });

  it('may be left dark, or at that level, by a power cycle behind it: the last level need not be that of a failure', () => {
    const heard = [bus(2, false), bus(3, true), supply(4, 0), supply(5, 48)];
    const { low, high } = light(
      heard,
      9,
      from(126, { systemFailureLevel: 170, powerOnLevel: 255 }),
    );
    expect(low).toBeCloseTo(0.03035, 5);
    expect(high).toBeCloseTo(0.100914, 6);
  });

  it('may fail while the lamp lives through a gap of its supply', () => {
    const heard = [bus(2, false), supply(2.44, 0), supply(2.48, 48)];
    const story = told(heard, { ...half, afterglow: 0.1, lossDelay: 0.25 });
    expect(story.levelAt('warm', 2.43).high).toBeCloseTo(0.03035, 5);
    expect(story.levelAt('warm', 2.46).low).toBe(0);
    expect(story.levelAt('warm', 2.46).high).toBeCloseTo(0.03035, 5);
    expect(story.levelAt('warm', 3.5).low).toBeCloseTo(0.100914, 6);
  });

  it('comes back without moving the light, which the other links may move meanwhile', () => {
    expect(light([bus(2, false), bus(9, true)], 10, half).low).toBeCloseTo(0.100914, 6);
    expect(light([bus(2, false), line(3, `dim 20 mix ${all}`), bus(9, true)], 10, half)).toEqual(
      exactly(0.2),
    );
  });
});

describe('RESET and IDENTIFY', () => {
  it('leave the gear busy for 300 ms: a frame then may be lost (9.11)', () => {
    expect(light([...frames(1, '0b 20 x2'), dali(1.2, '0a 01')], 2, from(254))).toEqual({
      low: expect.closeTo(0.001, 9),
      high: 1,
    });
    expect(light([...frames(1, '0b 20 x2'), dali(1.4, '0a 01')], 2, from(254))).toEqual(
      exactly(0.001),
    );
  });

  it('may show the gear by its light until another link says otherwise', () => {
    const slots = [255, 255, 255, 255, ...Array(10).fill(0)];
    const heard: Heard[] = [...frames(1, '0b 25 x2'), { kind: 'dmx', at: 2, startCode: 0, slots }];
    expect(light(heard, 3, from(126))).toEqual(exactly(1));
    expect(light(heard, 30, from(126))).toEqual(exactly(1));
  });

  it('may show the gear by its light until the power goes', () => {
    const heard = [...frames(1, '0b 25 x2'), supply(2, 0), supply(3, 48)];
    expect(light(heard, 2.5, from(126))).toEqual(exactly(0));
    expect(light(heard, 9, from(126)).low).toBe(1);
  });

  it('may show the gear by its light for ten seconds (9.14.3)', () => {
    const story = told(frames(1, '0b 25 x2'), from(126));
    expect(story.levelAt('warm', 6)).toEqual({ low: 0, high: 1 });
    expect(story.whyWide(6)).toContain('identifies');
    expect(story.levelAt('warm', 12).high).toBeCloseTo(0.03035, 5);
    expect(light([...frames(1, '0b 25 x2'), dali(2, '0a 01')], 3, from(126))).toEqual(
      exactly(0.001),
    );
  });
});
