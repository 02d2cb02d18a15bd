import { describe, expect, it } from 'vitest';
import type { Heard } from '../../harness/bench/heard.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { type StoryOptions, tellStory } from '../../harness/model/model-lamp.ts';
import { dmx, sacn, slots, value } from './slot-messages.ts';
import { alcove, all, dali, frames, from, line, nominal } from './told.ts';

const full = slots(65_535);
const tenth = slots(value(0.1));
const dark: Lamp = {
  ...alcove,
  links: {
    ...alcove.links,
    dmx: { firstSlot: 1, bits: 16, onLoss: 'off' },
    sacn: { universe: 7, firstSlot: 1, bits: 16, onLoss: 'off' },
  },
};
const late = { ...nominal, lossDelay: 0.25 };
const stops = (at: number): Heard => ({ kind: 'dmx-stops', at });
const share = (own: number) => expect.closeTo(own, 4);
const exactly = (own: number) => ({ low: share(own), high: share(own) });
const between = (low: number, high: number) => ({ low: share(low), high: share(high) });
const half = (at: number) => line(at, `dim 50 mix ${all}`);

function warm(
  heard: readonly Heard[],
  at: number,
  options: StoryOptions = nominal,
  lamp: Lamp = alcove,
) {
  return tellStory(lamp, heard, at + 1, options).levelAt('warm', at);
}

describe('a signal of DMX512 that comes back after another link has spoken', () => {
  const upTo = (back: number) => [dmx(1, full), stops(1), half(1.5), dmx(1 + back, full)];

  it('is the same one again where it cannot be lost yet: its frame may count or not', () => {
    expect(warm(upTo(0.9), 3, late)).toEqual(between(0.5, 1));
  });

  it('may be lost or not between 1 s and 1.25 s (E1.11)', () => {
    expect(warm(upTo(1.1), 3, late)).toEqual(between(0.5, 1));
  });

  it('is a new one once it is lost for sure, and takes the light', () => {
    expect(warm(upTo(1.3), 3, late)).toEqual(exactly(1));
  });

  it('may be taken for lost after a command that came in the meantime', () => {
    const heard = [dmx(1, full), stops(1), half(2.1)];
    expect(warm(heard, 2.2, late, dark)).toEqual(exactly(0.5));
    expect(warm(heard, 3, late, dark)).toEqual(between(0, 0.5));
    expect(warm([...heard, line(3, `dim 20 mix ${all}`)], 3.5, late, dark)).toEqual(exactly(0.2));
  });
});

describe('a fade that begins while slots are glided to', () => {
  const slow = { ...nominal, latency: { ...nominal.latency, dmx: 0.075 } };
  const fade = (at: number) => line(at, `fade 1000 dim 100 mix ${all}`);

  it('comes from anywhere between the light before and that of the slots', () => {
    const heard = [dmx(1, full), dmx(2, tenth), fade(2.01)];
    expect(warm(heard, 2.01, slow)).toEqual(between(0.1, 1));
    expect(warm(heard, 3.02, slow)).toEqual(exactly(1));
  });

  it('comes from the slots once the glide is over', () => {
    expect(warm([dmx(1, full), dmx(2, tenth), fade(2.1)], 2.101, slow).high).toBeLessThan(0.102);
  });

  it('does not look further back than a glide takes, in a stream of frames either', () => {
    const stream = Array.from({ length: 10 }, (_, k) => dmx(2 + 0.025 * k, slots(60_000 - k)));
    const { low } = warm([dmx(1, slots(1)), ...stream, fade(2.23)], 2.231, slow);
    expect(low).toBeGreaterThan(0.5);
  });
});

describe('slots that come before a glide is over', () => {
  const slow = { ...nominal, latency: { ...nominal.latency, sacn: 0.075 } };
  const heard = [
    line(0, `dim 1 mix ${all}`),
    sacn(2, tenth),
    sacn(2.04, slots(value(0.5)), { sequence: 21 }),
    sacn(2.08, full, { sequence: 22 }),
  ];

  it('may find the light anywhere on its way, and glide on from there', () => {
    expect(warm(heard.slice(0, 3), 2.1, slow)).toEqual(between(0.01, 0.5));
    expect(warm(heard.slice(0, 3), 2.12, slow)).toEqual(exactly(0.5));
  });

  it('do not keep what was there two glides before', () => {
    expect(warm(heard, 2.1, slow)).toEqual(between(0.01, 1));
    expect(warm(heard, 2.12, slow)).toEqual(between(0.1, 1));
    expect(warm(heard, 2.156, slow)).toEqual(exactly(1));
  });
});

describe('slots that come before a jump has been shown', () => {
  const slow = { ...nominal, latency: { ...nominal.latency, sacn: 0.075, dali: 0.025 } };
  const jumpedAt = 1 - 0.0005;
  const heard = [line(0, `dim 10 mix ${all}`), dali(jumpedAt, '0a fe'), sacn(1, slots(value(0.5)))];

  it('may glide from what was there before it', () => {
    expect(warm(heard, 1.05, slow)).toEqual(between(0.1, 1));
  });

  it('are there when the glide is over', () => {
    expect(warm(heard, 1.08, slow)).toEqual(exactly(0.5));
  });

  it('glide from the jump alone, where they come later', () => {
    const later = [line(0, `dim 10 mix ${all}`), dali(0.97, '0a fe'), sacn(1, slots(value(0.5)))];
    expect(warm(later, 1.05, slow)).toEqual(between(0.5, 1));
  });
});

describe('MIN and MAX of the gear', () => {
  const options = from(254, { powerOnLevel: 255 });

  it('may leave a light as it is that another link had set beyond them', () => {
    const heard = [line(1, `dim 0.2 mix ${all}`), ...frames(2, 'a3 aa', '0b 2b x2')];
    expect(warm(heard, 3, options).low).toBeCloseTo(10 ** ((170 - 254) / (253 / 3)), 4);
    const beyond = [...frames(0.1, 'a3 aa', '0b 2b x2'), line(1, `dim 1 mix ${all}`)];
    const raised = [...beyond, ...frames(2, 'a3 b0', '0b 2b x2')];
    expect(warm(raised, 3, options)).toEqual({
      low: share(0.01),
      high: share(10 ** ((176 - 254) / (253 / 3))),
    });
  });

  it('may stop a glide that they are moved across', () => {
    const slow = { ...options, latency: { ...nominal.latency, dmx: 0.075 } };
    const heard = [...frames(0.1, 'a3 fe'), dmx(1, full), dmx(2, slots(0))];
    const limited = [...heard, dali(1.99, '0b 2b'), dali(2.02, '0b 2b')].toSorted(
      (one, other) => one.at - other.at,
    );
    expect(warm(limited, 3, slow)).toEqual(between(0, 1));
  });

  it('bring a light of DALI back', () => {
    const heard = [dali(0.1, '0a 80'), ...frames(1, 'a3 b0', '0b 2b x2')];
    expect(warm(heard, 2, options)).toEqual(exactly(10 ** ((176 - 254) / (253 / 3))));
  });
});

describe('DMX512 and sACN that are both there', () => {
  const both = [dmx(1, full), sacn(1.5, tenth)];

  it('let the last one win that says something new', () => {
    expect(warm(both, 1.9)).toEqual(exactly(0.1));
    expect(warm([...both, dmx(2, slots(value(0.2)))], 2.1)).toEqual(exactly(0.2));
  });

  it('may take the light back, or not, with what they repeat, each time anew', () => {
    const heard = [...both, dmx(2, full)];
    expect(warm(heard, 2.1)).toEqual(between(0.1, 1));
    expect(tellStory(alcove, heard, 2.1, nominal).whyWide(2.05)).toContain('speak both');
    expect(warm([...heard, half(2.2)], 2.3)).toEqual(exactly(0.5));
    expect(warm([...heard, half(2.2), dmx(2.4, full)], 2.5)).toEqual(between(0.5, 1));
  });

  it('may say the same to a lamp that hears nothing new in it', () => {
    expect(warm([sacn(1, full), half(1.5), dmx(2, full)], 2.1)).toEqual(between(0.5, 1));
    expect(warm([sacn(1, full), half(1.5), dmx(2, tenth)], 2.1)).toEqual(exactly(0.1));
    expect(warm([dmx(1, full), half(1.5), sacn(2, full)], 2.1)).toEqual(between(0.5, 1));
  });

  it('leave the light to either when one is lost, and to the other one when that says something', () => {
    const heard = [...both, dmx(2, slots(value(0.3))), stops(2)];
    const alive = [sacn(2.4, tenth), sacn(3.2, tenth)];
    expect(warm([...heard, ...alive], 3.5)).toEqual(between(0.1, 0.3));
    expect(warm([...heard, ...alive], 3.1, nominal, dark)).toEqual(between(0, 0.3));
    expect(warm([...heard, ...alive], 3.5, nominal, dark)).toEqual(between(0.1, 0.3));
    const news = [...heard, ...alive, sacn(3.4, slots(value(0.7)))];
    expect(warm(news, 3.5, nominal, dark)).toEqual(exactly(0.7));
    const ended = [...both, dmx(1.6, full), sacn(1.7, tenth, { options: 0x40 })];
    expect(warm(ended, 1.8)).toEqual(between(0.1, 1));
  });

  it('take the light back at once from a lamp that went dark for the one that was lost', () => {
    const heard = [...both, sacn(2, tenth, { options: 0x40 }), dmx(2.1, full)];
    expect(warm(heard, 2.2, nominal, dark).high).toBeCloseTo(1, 4);
    expect(warm(heard, 2.2, nominal, dark).low).toBeCloseTo(0.1, 4);
  });
});

describe('sACN beside another link', () => {
  it('may come back before the lamp has noticed that it was gone', () => {
    const heard = [sacn(1, full), half(2)];
    expect(warm([...heard, sacn(3.6, full)], 4, late)).toEqual(between(0.5, 1));
    expect(warm([...heard, sacn(3.8, full)], 4.5, late)).toEqual(exactly(1));
  });

  it('may hand on again what the leading source says, for a packet of another one', () => {
    const heard = [
      sacn(1, full, { by: 'two', priority: 150, sequence: 1 }),
      half(1.5),
      sacn(2, tenth, { priority: 50 }),
    ];
    expect(warm(heard, 2.5)).toEqual(between(0.5, 1));
  });

  it('may do so for the end of another one, too', () => {
    const heard = [
      sacn(1, tenth, { priority: 50 }),
      sacn(1.2, full, { by: 'two', priority: 150, sequence: 1 }),
      half(1.5),
    ];
    expect(warm(heard, 3)).toEqual(exactly(0.5));
    const ended = [...heard, sacn(2, tenth, { priority: 50, options: 0x40 })];
    expect(warm(ended, 3)).toEqual(between(0.5, 1));
  });
});

describe('what is not told apart any more', () => {
  const undecided = Array.from({ length: 12 }, (_, scene) => [
    dali(2 + scene, [0xa3, 20 * scene + 10]),
    dali(2.05 + scene, [0x0b, 0x40 + scene]),
    dali(2.15 + scene, [0x0b, 0x40 + scene]),
  ]).flat();

  it('stays unknown where a stream is there, until the power comes back', () => {
    const heard = [dmx(1, full), ...undecided, half(20)];
    expect(warm(heard, 21)).toEqual({ low: 0, high: 1 });
    const cycled: Heard[] = [
      ...heard,
      { kind: 'supply', at: 22, volts: 0 },
      { kind: 'supply', at: 24, volts: 48 },
      half(26),
    ];
    expect(warm(cycled, 27)).toEqual(exactly(0.5));
  });

  it('is known by a line of the console where none is', () => {
    expect(warm([...undecided, half(20)], 21)).toEqual(exactly(0.5));
  });
});

it('shows a light on its way beside a case that came after it', () => {
  const slow = { ...nominal, latency: { ...nominal.latency, dmx: 0.075 } };
  // The line may be understood or not: where it is not, the light is still on its way to the slots.
  const heard = [dmx(1, full), dmx(2, slots(0)), line(2.01, `dim 1%  mix ${all}`)];
  expect(warm(heard, 2.05, slow).high).toBeCloseTo(1, 4);
  expect(warm(heard, 2.2, slow).high).toBeCloseTo(0.01, 4);
});

it('leaves either mix to a lamp that was dark as a stream said the same again', () => {
  const heard = [dmx(1, slots(0, 0)), line(2, 'dim 0 mix 50 0 0 0 0 0'), dmx(2.1, slots(0, 0))];
  expect(warm([...heard, dali(2.5, '0b 05')], 3, from(254))).toEqual(between(0, 0.5));
});

it('knows nothing of a failed bus whose level was set from a register of unknown content', () => {
  const failing = [...frames(2, '0b 2c x2'), { kind: 'dali-bus', at: 3, powered: false } as const];
  const { low, high } = warm([dmx(1, full), ...failing], 4.5, from(254));
  expect(low).toBe(0);
  expect(high).toBeCloseTo(1, 4);
});

it('may hear a command before the last frame of a signal that stops while that is under way', () => {
  const padded = [...full, ...Array(498).fill(0)];
  const heard: Heard[] = [dmx(1, padded), { kind: 'dmx-stops', at: 1 }, dali(1.013, '0a 00')];
  const { low, high } = tellStory(alcove, heard, 1.8, {}).levelAt('warm', 1.8);
  expect(low).toBe(0);
  expect(high).toBeGreaterThan(0.99);
  expect(
    tellStory(alcove, [...heard.slice(0, 2), dali(1.1, '0a 00')], 1.8, {}).levelAt('warm', 1.8)
      .high,
  ).toBeLessThan(0.01);
});

it('may show a level of DALI with the former mix, where that came while a frame was under way', () => {
  const padded = [...slots(value(0.1), 6553), ...Array(498).fill(0)];
  const heard = [dmx(0.5, slots(value(0.1))), dmx(1, padded), dali(1.013, '0a fe')];
  const story = tellStory(alcove, heard, 3, {});
  expect(story.levelAt('warm', 1.03).high).toBeGreaterThan(0.99);
  expect(story.levelAt('warm', 2).high).toBeLessThan(0.12);
});
