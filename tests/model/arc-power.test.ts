import { describe, expect, it } from 'vitest';
import { tellStory } from '../../harness/model/model-lamp.ts';
import { alcove, all, dali, frames, from, lastAnswer, levelAt, line, nominal } from './told.ts';

/**
 * IEC 62386-102, edition 2; numbers of clauses are from memory. Frames are to short address 5 (0a level, 0b command) unless the row is
 * about addressing. `start` is the level before, `at` the instant of the look after frames that begin at 1 s, 50 ms apart.
 */
interface Row {
  readonly clause: string;
  readonly what: string;
  readonly start?: number;
  readonly frames: readonly string[];
  readonly at?: number;
  readonly level: number;
}

const rows: readonly Row[] = [
  { clause: '7.2.2', what: 'its short address', frames: ['0a 64'], level: 100 },
  { clause: '7.2.2', what: 'another short address', frames: ['0c 64'], level: 254 },
  { clause: '7.2.2', what: 'its group', frames: ['84 64'], level: 100 },
  { clause: '7.2.2', what: 'another group', frames: ['86 64'], level: 254 },
  { clause: '7.2.2', what: 'broadcast', frames: ['fe 64'], level: 100 },
  { clause: '7.2.2', what: 'broadcast to gear without address', frames: ['fc 64'], level: 254 },
  {
    clause: '7.2.2',
    what: 'the same, when it has none',
    frames: ['a3 ff', '0b 80 x2', 'fc 64'],
    level: 100,
  },
  { clause: '7.2.2', what: 'frames of 24 bits', frames: ['0a 64 64'], level: 254 },
  { clause: '9.7.2', what: 'level 0 without fade', frames: ['0a 00'], level: 0 },
  { clause: '9.7.2', what: 'level 254', start: 10, frames: ['0a fe'], level: 254 },
  { clause: '9.7.2', what: 'MASK on a steady light', start: 77, frames: ['0a ff'], level: 77 },
  {
    clause: '9.7.2',
    what: 'more than MAX',
    start: 50,
    frames: ['a3 64', '0b 2a x2', '0a c8'],
    level: 100,
  },
  { clause: '9.7.2', what: 'less than MIN', frames: ['a3 64', '0b 2b x2', '0a 05'], level: 100 },
  {
    clause: '9.7.2',
    what: '0 is off below MIN, too',
    frames: ['a3 64', '0b 2b x2', '0a 00'],
    level: 0,
  },
  { clause: '11.3.1', what: 'OFF', frames: ['0b 00'], level: 0 },
  { clause: '11.3.4', what: 'STEP UP', start: 100, frames: ['0b 03'], level: 101 },
  { clause: '11.3.4', what: 'STEP UP at MAX', frames: ['0b 03'], level: 254 },
  { clause: '11.3.4', what: 'STEP UP in the dark', start: 0, frames: ['0b 03'], level: 0 },
  { clause: '11.3.5', what: 'STEP DOWN', start: 100, frames: ['0b 04'], level: 99 },
  { clause: '11.3.5', what: 'STEP DOWN at MIN', start: 1, frames: ['0b 04'], level: 1 },
  { clause: '11.3.6', what: 'RECALL MAX LEVEL', start: 0, frames: ['0b 05'], level: 254 },
  { clause: '11.3.7', what: 'RECALL MIN LEVEL', start: 0, frames: ['0b 06'], level: 1 },
  {
    clause: '11.3.6',
    what: 'RECALL MAX LEVEL where MAX is 200',
    start: 3,
    frames: ['a3 c8', '0b 2a x2', '0b 05'],
    level: 200,
  },
  { clause: '11.3.8', what: 'STEP DOWN AND OFF above MIN', start: 2, frames: ['0b 07'], level: 1 },
  { clause: '11.3.8', what: 'STEP DOWN AND OFF at MIN', start: 1, frames: ['0b 07'], level: 0 },
  { clause: '11.3.9', what: 'ON AND STEP UP in the dark', start: 0, frames: ['0b 08'], level: 1 },
  { clause: '11.3.9', what: 'ON AND STEP UP when lit', start: 7, frames: ['0b 08'], level: 8 },
  {
    clause: '11.3.11',
    what: 'GO TO LAST ACTIVE LEVEL',
    start: 90,
    frames: ['0b 00', '0b 0a'],
    level: 90,
  },
  { clause: '11.3.12', what: 'GO TO SCENE', frames: ['a3 32', '0b 43 x2', '0b 13'], level: 50 },
  {
    clause: '11.3.12',
    what: 'a scene that was never stored',
    start: 40,
    frames: ['0b 13'],
    level: 40,
  },
  {
    clause: '11.3.12',
    what: 'a scene that was removed',
    start: 40,
    frames: ['a3 32', '0b 43 x2', '0b 53 x2', '0b 13'],
    level: 40,
  },
  {
    clause: '11.3.12',
    what: 'a scene that is dark',
    start: 40,
    frames: ['a3 00', '0b 4f x2', '0b 1f'],
    level: 0,
  },
  {
    clause: '11.3',
    what: 'reserved codes 0d to 0f',
    start: 40,
    frames: ['0b 0d', '0b 0e', '0b 0f'],
    level: 40,
  },
  {
    clause: '11.4',
    what: 'reserved codes 26, 31, 3f and 82, twice',
    start: 40,
    frames: ['0b 26 x2', '0b 31 x2', '0b 3f x2', '0b 82 x2'],
    level: 40,
  },
  {
    clause: '7.2.2',
    what: 'reserved addresses a0 to fb',
    start: 40,
    frames: ['cd 00', 'f9 05', 'ee 64', 'a0 64'],
    level: 40,
  },
  {
    clause: '11.4.2',
    what: 'RESET goes to full light',
    start: 40,
    frames: ['0b 20 x2'],
    at: 2,
    level: 254,
  },
  {
    clause: '9.6',
    what: 'a MAX below the light brings it down',
    frames: ['a3 64', '0b 2a x2'],
    level: 100,
  },
  {
    clause: '9.6',
    what: 'a MIN above the light brings it up',
    start: 10,
    frames: ['a3 64', '0b 2b x2'],
    level: 100,
  },
  // Fade time 2 is 1 s, 4 is 2 s; frames come at 1.00, 1.05, 1.10, and the level at 1.15 s.
  {
    clause: '9.5',
    what: 'half of a fade down',
    frames: ['a3 02', '0b 2e x2', '0a 80'],
    at: 1.65,
    level: 191,
  },
  { clause: '9.5', what: 'its end', frames: ['a3 02', '0b 2e x2', '0a 80'], at: 2.15, level: 128 },
  {
    clause: '9.5',
    what: 'half of a fade up',
    start: 54,
    frames: ['a3 02', '0b 2e x2', '0a fe'],
    at: 1.65,
    level: 154,
  },
  {
    clause: '9.5',
    what: 'a fade from the dark begins at MIN',
    start: 0,
    frames: ['a3 02', '0b 2e x2', '0a 65'],
    at: 1.65,
    level: 51,
  },
  {
    clause: '9.5',
    what: 'a fade to the dark goes to MIN',
    start: 101,
    frames: ['a3 02', '0b 2e x2', '0a 00'],
    at: 1.65,
    level: 51,
  },
  {
    clause: '9.5',
    what: 'and then off',
    start: 101,
    frames: ['a3 02', '0b 2e x2', '0a 00'],
    at: 2.1501,
    level: 0,
  },
  {
    clause: '9.5',
    what: 'OFF does not fade',
    frames: ['a3 02', '0b 2e x2', '0b 00'],
    at: 1.16,
    level: 0,
  },
  {
    clause: '9.5',
    what: 'RECALL MIN LEVEL does not fade',
    frames: ['a3 02', '0b 2e x2', '0b 06'],
    at: 1.16,
    level: 1,
  },
  {
    clause: '9.5',
    what: 'a scene fades',
    frames: ['a3 02', '0b 2e x2', 'a3 80', '0b 41 x2', '0b 11'],
    at: 1.8,
    level: 191,
  },
  {
    clause: '9.5',
    what: 'MASK stops a fade',
    frames: ['a3 04', '0b 2e x2', '0a 80', '0c 00', '0a ff'],
    at: 5,
    level: 254 - 126 * 0.05,
  },
  {
    clause: '9.5',
    what: 'a step stops a fade',
    start: 200,
    frames: ['a3 04', '0b 2e x2', '0a 64', '0c 00', '0b 03'],
    at: 5,
    level: 196,
  },
  {
    clause: '9.5',
    what: 'extended fade time: 3 times 100 ms',
    frames: ['a3 12', '0b 30 x2', '0a 80'],
    at: 1.3,
    level: 191,
  },
  {
    clause: '9.5',
    what: 'extended fade time: 2 times 1 s',
    frames: ['a3 21', '0b 30 x2', '0a 80'],
    at: 2.15,
    level: 191,
  },
  {
    clause: '9.5',
    what: 'the fade time goes before the extended one',
    frames: ['a3 21', '0b 30 x2', 'a3 02', '0b 2e x2', '0a 80'],
    at: 1.8,
    level: 191,
  },
  {
    clause: '9.5',
    what: 'an extended fade time beyond 4f is none',
    frames: ['a3 50', '0b 30 x2', '0a 80'],
    at: 1.16,
    level: 128,
  },
  {
    clause: '11.3.2',
    what: 'the end of UP: 253 levels/s (fade rate 2) for 200 ms',
    start: 100,
    frames: ['a3 08', '0b 2f x2', 'a3 02', '0b 2f x2', '0b 04', '0b 03'],
    at: 3,
    level: 100,
  },
  {
    clause: '9.7.4',
    what: 'a DAPC sequence fades each level in 200 ms',
    frames: ['0b 09', '0a 80'],
    at: 1.15,
    level: 191,
  },
  {
    clause: '9.7.4',
    what: 'OFF ends a DAPC sequence',
    start: 100,
    frames: ['0b 09', '0b 00', '0a 32'],
    at: 1.101,
    level: 50,
  },
];

describe('arc power', () => {
  it.each(rows)('$clause: $what', ({ start = 254, frames: own, at = 1.9, level }) => {
    expect(levelAt(frames(1, ...own), at, from(start))).toBeCloseTo(level, 5);
  });

  it('9.7.4: leaves open whether a query ends a DAPC sequence', () => {
    const heard = frames(1, '0b 09', '0b 90', '0a 80');
    const { low, high } = tellStory(alcove, heard, 1.2, from(254)).levelAt('warm', 1.2);
    // There at once, or half of the way.
    expect(low).toBeCloseTo(10 ** (3 * (127 / 253 - 1)), 9);
    expect(high).toBeCloseTo(10 ** (3 * (190 / 253 - 1)), 9);
  });

  it('9.7.3: leaves open whether a step goes on where another link left the light below MIN', () => {
    const below = [...frames(1, 'a3 c8', '0b 2b x2'), line(2, `dim 1 mix ${all}`)];
    const { low, high } = tellStory(alcove, [...below, dali(3, '0b 04')], 4, from(254)).levelAt(
      'warm',
      4,
    );
    expect(low).toBeCloseTo(0.01, 9);
    expect(high).toBeCloseTo(10 ** (3 * (199 / 253 - 1)), 9);
  });

  it('9.5: has the fade times of the table, in s', () => {
    const milliseconds = [
      707, 1000, 1414, 2000, 2828, 4000, 5657, 8000, 11_314, 16_000, 22_627, 32_000, 45_255, 64_000,
      90_510,
    ];
    for (const [index, printed] of milliseconds.entries()) {
      const time = printed / 1000;
      const story = frames(1, `a3 ${(index + 1).toString(16)}`, '0b 2e x2', '0a 01');
      expect(levelAt(story, 1.15 + time / 2)).toBeCloseTo(127.5, 0);
      expect(levelAt(story, 1.15 + time * 0.99)).toBeGreaterThan(3);
      expect(levelAt(story, 1.15 + time * 1.001)).toBe(1);
    }
  });

  it('9.3: gives the light of the curve', () => {
    const table = {
      1: 0.1,
      50: 0.38109,
      85: 0.99094,
      126: 3.035383,
      170: 10.091427,
      229: 50.530932,
      254: 100,
    };
    for (const [level, percent] of Object.entries(table)) {
      const story = tellStory(alcove, [dali(1, [0x0a, Number(level)])], 2, nominal);
      expect(story.levelAt('cyan', 2).low * 100).toBeCloseTo(percent, 4);
    }
  });

  it('11.3.2: UP and DOWN move by the fade rate for 200 ms, give or take what rounding leaves', () => {
    // Fade rate 7 is 44.72 levels/s: 8.94 in 200 ms.
    const bounds = (frame: string, at: number) => {
      const { low, high } = tellStory(alcove, [dali(1, frame)], at, from(100)).levelAt('warm', at);
      return [low, high].map((light) => 1 + (253 / 3) * (Math.log10(light) + 3));
    };
    expect(bounds('0b 01', 2)[0]).toBeCloseTo(108, 6);
    expect(bounds('0b 01', 2)[1]).toBeCloseTo(109, 6);
    expect(bounds('0b 01', 1.1)[0]).toBeCloseTo(104, 6);
    // Fade rate 1 is 357.8 levels/s: 71.56.
    const fast = tellStory(alcove, frames(1, 'a3 01', '0b 2f x2', '0b 01'), 9, from(100));
    expect(fast.levelAt('warm', 9).low).toBeCloseTo(10 ** (170 / (253 / 3) - 3), 9);
    expect(fast.levelAt('warm', 9).high).toBeCloseTo(10 ** (171 / (253 / 3) - 3), 9);
    expect(bounds('0b 02', 2)[0]).toBeCloseTo(91, 6);
    expect(bounds('0b 02', 2)[1]).toBeCloseTo(92, 6);
  });

  it('11.3.2: UP may come to MAX as early as from the highest level that a fade may be at', () => {
    const fading = frames(1, 'a3 01', '0b 2e x2', '0b 2f x2', '0a 78');
    const story = tellStory(alcove, [...fading, dali(1.55, '0b 01')], 3, {
      ...from(254),
      daliFadeTolerance: 0.1,
    });
    // 300 ms of 700 ms, and 10 % more or less: level 202 at most, 145 ms from MAX at 358 levels/s, in which it may gain 10 % again.
    expect(story.levelAt('warm', 1.55 + 0.12).high).toBeLessThan(1);
    expect(story.levelAt('warm', 1.55 + 0.15).high).toBe(1);
    expect(story.levelAt('warm', 3)).toEqual({ low: 1, high: 1 });
  });

  it('11.3.2: DOWN may be nothing to a fade that is at MIN when its level is rounded', () => {
    const fading = frames(1, 'a3 04', '0b 2e x2', 'a3 04', '0b 2a x2', '0a 04');
    const answers = (at: number) =>
      lastAnswer([...fading, dali(at, '0b 02'), dali(4, '0b a0')], from(1))?.toSorted();
    expect(answers(1.3 + 0.5)).toEqual([1, 4]);
    expect(answers(1.3 + 1.2)).toEqual([1]);
  });

  it('11.3.2: UP and DOWN leave a dark gear dark, and a lit one lit', () => {
    expect(levelAt([dali(1, '0b 01')], 2, from(0))).toBe(0);
    expect(levelAt([dali(1, '0b 02')], 2, from(3))).toBe(1);
  });

  it('takes a new level in mid-fade from where the light is', () => {
    const story = [...frames(1, 'a3 04', '0b 2e x2', '0a 36'), dali(2.15, '0a fe')];
    expect(levelAt(story, 2.15)).toBeCloseTo(154, 6);
    expect(levelAt(story, 3.15)).toBeCloseTo(204, 6);
  });

  it('9.5: fades from the dark from MIN, and to the dark to MIN, wherever MIN is', () => {
    const limited = ['a3 64', '0b 2b x2', 'a3 02', '0b 2e x2'];
    expect(levelAt(frames(1, ...limited, '0a c8'), 1.8, from(0))).toBe(150);
    expect(levelAt(frames(1, ...limited, '0a 00'), 1.8, from(200))).toBe(150);
    expect(levelAt(frames(1, ...limited, '0a 00'), 2.31, from(200))).toBe(0);
  });

  it('leaves open what becomes of a crossfade whose level changes under way', () => {
    const heard = [
      line(1, 'dim 100 mix 100 0 0 0 0 50'),
      line(2, 'fade 4000 dim 100 mix 50 0 0 0 0 50'),
      dali(4, '0a aa'),
    ];
    const story = tellStory(alcove, heard, 9, nominal);
    expect(story.levelAt('warm', 9).low).toBeCloseTo(0.050457, 6);
    expect(story.levelAt('warm', 9).high).toBeCloseTo(0.100914, 6);
    expect(story.whyWide(9)).toContain('crossfade');
    expect(story.levelAt('indigo', 9).high).toBeCloseTo(0.050457, 6);
    const after = tellStory(alcove, [...heard.slice(0, 2), dali(7, '0a aa')], 9, nominal);
    expect(after.levelAt('warm', 9).high).toBeCloseTo(0.050457, 6);
  });

  it('goes at the intensities that the mix has', () => {
    const story = tellStory(
      alcove,
      [line(1, 'dim 100 mix 50 0 0 0 0 100'), dali(2, '0a aa')],
      3,
      nominal,
    );
    expect(story.levelAt('warm', 3).low).toBeCloseTo(0.050457, 6);
    expect(story.levelAt('cool', 3)).toEqual({ low: 0, high: 0 });
    expect(story.levelAt('indigo', 3).low).toBeCloseTo(0.100914, 6);
  });

  it('does not say whether a gear knows the commands of a later edition', () => {
    const story = tellStory(alcove, [dali(1, '0b 0c')], 60, from(100));
    expect(story.levelAt('warm', 59).low).toBeCloseTo(0.001, 9);
    expect(story.levelAt('warm', 59).high).toBeCloseTo(0.014925, 6);
    expect(story.whyWide(59)).toContain('later edition');
  });

  it('tells the actual level also while it fades, within the time of the answer', () => {
    expect(lastAnswer([...frames(1, 'a3 04', '0b 2e x2', '0a 80'), dali(2.15, '0b a0')])).toEqual([
      190, 191,
    ]);
  });
});

describe('a limit that is moved across a light that fades (11.4.10, 11.4.11)', () => {
  it('leaves open whether the fade goes on, ends at once, or stops at the limit', () => {
    // Fade time 2 s from level 1 on; MIN to 170 when the light is at about 50.
    const heard = frames(1, 'a3 04', '0b 2e x2', '0a fe', 'a3 aa').concat(frames(1.55, '0b 2b x2'));
    const story = tellStory(alcove, heard, 9, from(1));
    expect(story.levelAt('warm', 1.7).high).toBe(1);
    expect(story.levelAt('warm', 9)).toEqual({ low: expect.closeTo(0.1009, 4), high: 1 });
    expect(story.whyWide(9)).toContain('MIN or MAX was moved');
  });
});

describe('a lamp whose own curve is straight', () => {
  const straight = { ...alcove, curve: { kind: 'linear' as const, bottom: 0.01 } };

  it('may fade over DALI along that or along the levels', () => {
    const fading = frames(1, 'a3 04', '0b 2e x2', '0a aa');
    const { low, high } = tellStory(straight, fading, 3, from(254)).levelAt('warm', 2.15);
    expect(low).toBeCloseTo(Math.sqrt(0.100914), 4);
    expect(high).toBeCloseTo((1 + 0.100914) / 2, 4);
  });

  it('may begin a fade of the console in the dark, or at the bottom', () => {
    const story = tellStory(straight, [line(1, `fade 2000 dim 50 mix ${all}`)], 4, from(0));
    expect(story.levelAt('warm', 1.5).low).toBeCloseTo(0.125, 9);
    expect(story.levelAt('warm', 1.5).high).toBeCloseTo(0.01 + 0.49 / 4, 9);
  });
});

it('fades a lamp that starts from the dark, or from the light that comes back', () => {
  const starts = { ...from(0, { level: 0.5, powerOnLevel: 255 }), startUp: 0.66 };
  const heard = [
    { kind: 'supply' as const, at: 0, volts: 48 },
    line(0.4, `fade 1000 dim 100 mix ${all}`),
  ];
  const { low, high } = tellStory(alcove, heard, 3, starts).levelAt('warm', 0.9);
  expect(low).toBeLessThan(0.1);
  expect(high).toBeGreaterThan(0.6);
});
