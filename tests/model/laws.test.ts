import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { encodeSync } from '../../drivers/sacn/extended-packet.ts';
import { encodeSacn } from '../../drivers/sacn/packet.ts';
import type { Heard } from '../../harness/bench/heard.ts';
import { type ModelStory, type StoryOptions, tellStory } from '../../harness/model/model-lamp.ts';
import { alcove, all, dali, frames, from, line, nominal } from './told.ts';

/** Words of one meaning each, which a lamp cannot misunderstand, of 0.3 s at most. */
type Phrase = (at: number) => readonly Heard[];

const level = fc.integer({ min: 0, max: 254 });
const percent = fc.integer({ min: 1, max: 100 });
const slots = fc.array(fc.integer({ min: 0, max: 255 }), { minLength: 14, maxLength: 14 });

const sets: fc.Arbitrary<Phrase> = fc.oneof(
  level.map(
    (value): Phrase =>
      (at) => [dali(at, [0x0a, value])],
  ),
  fc.constantFrom<Phrase>(
    ...['0b 00', '0b 05', '0b 06'].map((text) => (at: number) => [dali(at, text)]),
  ),
  fc.tuple(percent, percent).map(
    ([dim, own]): Phrase =>
      (at) => [line(at, `dim ${dim} mix ${own} 0 0 0 0 ${own}`)],
  ),
  slots.map(
    (own): Phrase =>
      (at) => [{ kind: 'dmx', at, startCode: 0, slots: own }],
  ),
);

const storedScenes: fc.Arbitrary<Phrase> = fc.oneof(
  fc.tuple(level, fc.integer({ min: 0, max: 15 })).map(
    ([value, scene]): Phrase =>
      (at) =>
        frames(at, `a3 ${value.toString(16)}`, `0b ${(0x40 + scene).toString(16)} x2`),
  ),
  fc.integer({ min: 0, max: 15 }).map(
    (scene): Phrase =>
      (at) =>
        frames(at, `0b ${(0x50 + scene).toString(16)} x2`),
  ),
);
const fadeTimes = fc.integer({ min: 0, max: 6 }).map(
  (code): Phrase =>
    (at) =>
      frames(at, `a3 ${code}`, '0b 2e x2'),
);
const settings = fc.oneof(storedScenes, fadeTimes);

const others: fc.Arbitrary<Phrase> = fc.oneof(
  fc.tuple(fc.integer({ min: 6, max: 63 }), fc.integer({ min: 0, max: 255 })).map(
    ([address, code]): Phrase =>
      (at) => [dali(at, [2 * address + 1, code]), dali(at + 0.05, [2 * address + 1, code])],
  ),
  fc.tuple(fc.integer({ min: 3, max: 15 }), fc.integer({ min: 0, max: 255 })).map(
    ([group, value]): Phrase =>
      (at) => [dali(at, [0x80 + 2 * group, value])],
  ),
  fc.integer({ min: 1, max: 255 }).map(
    (startCode): Phrase =>
      (at) => [{ kind: 'dmx', at, startCode, slots: Array(14).fill(255) }],
  ),
  fc.constantFrom<Phrase>(
    (at) => [dali(at, '01 02 03')],
    (at) => [line(at, 'who')],
    (at) => [dali(at, '0b 90')],
  ),
);

const scenes = fc.integer({ min: 0, max: 15 }).map(
  (scene): Phrase =>
    (at) => [dali(at, [0x0b, 0x10 + scene])],
);
const phrase = fc.oneof(sets, settings, scenes, others);

/** Phrases 0.4 s apart. */
const spoken = (phrases: readonly Phrase[], start = 1) =>
  phrases.flatMap((own, index) => own(start + 0.4 * index));

/** Anything that may arrive, sense or not, at any time. */
const byte = fc.integer({ min: 0, max: 255 });
const anything: fc.Arbitrary<(at: number) => Heard> = fc.oneof(
  fc.tuple(fc.constantFrom(0x0a, 0x0b, 0xff, 0xfe, 0xa3, 0xc1, 0xa5, 0x85), byte).map(
    ([first, second]) =>
      (at: number) =>
        dali(at, [first, second]),
  ),
  fc.array(byte, { minLength: 1, maxLength: 4 }).map((frame) => (at: number) => dali(at, frame)),
  fc
    .constantFrom(
      `dim 40 mix ${all}`,
      `fade 700 dim 3 mix ${all}`,
      'off',
      'restart',
      'dim',
      ` dim 7 mix ${all}`,
    )
    .map((text) => (at: number) => line(at, text)),
  fc.array(byte, { maxLength: 9 }).map(
    (bytes) =>
      (at: number): Heard => ({ kind: 'console-bytes', at, bytes }),
  ),
  fc.boolean().map(
    (powered) =>
      (at: number): Heard => ({ kind: 'dali-bus', at, powered }),
  ),
  fc.constantFrom(0, 10, 44, 48, 60).map(
    (volts) =>
      (at: number): Heard => ({ kind: 'supply', at, volts }),
  ),
  slots.map(
    (own) =>
      (at: number): Heard => ({ kind: 'dmx', at, startCode: 0, slots: own }),
  ),
  fc.constant((at: number): Heard => ({ kind: 'dmx-stops', at })),
  fc.array(byte, { maxLength: 140 }).map(
    (datagram) =>
      (at: number): Heard => ({ kind: 'sacn', at, datagram }),
  ),
  fc.constant((at: number): Heard => ({ kind: 'reset', at })),
  fc.constantFrom(-40, 20).map(
    (celsius) =>
      (at: number): Heard => ({ kind: 'air', at, celsius }),
  ),
);
/** Packets of sources that come, go, overtake one another, preview and synchronise. */
const packets = fc
  .record({
    source: fc.constantFrom(1, 2),
    priority: fc.constantFrom(50, 100, 100, 201),
    syncAddress: fc.constantFrom(0, 0, 700),
    sequence: fc.integer({ min: 0, max: 30 }),
    preview: fc.constantFrom(false, false, true),
    terminated: fc.constantFrom(false, false, true),
    forceSync: fc.boolean(),
    universe: fc.constantFrom(7, 7, 7, 8),
    startCode: fc.constantFrom(0, 0, 0, 0xdd),
    count: fc.constantFrom(14, 14, 20, 3, 0),
    value: byte,
  })
  .map(({ source, count, value, priority, ...packet }) => (at: number): Heard => {
    const datagram = encodeSacn({
      ...packet,
      priority: Math.min(200, priority),
      cid: new Uint8Array(16).fill(source),
      sourceName: '',
      slots: new Uint8Array(count).fill(value),
    });
    datagram[108] = priority;
    return { kind: 'sacn', at, datagram: Array.from(datagram) };
  });
const syncs = fc.integer({ min: 0, max: 30 }).map((sequence) => (at: number): Heard => {
  const sync = { cid: new Uint8Array(16).fill(1), sequence, syncAddress: 700 };
  return { kind: 'sacn', at, datagram: Array.from(encodeSync(sync)) };
});
const cutFrames = fc.array(byte, { maxLength: 20 }).map(
  (own) =>
    (at: number): Heard => ({ kind: 'dmx', at, startCode: 0, slots: own }),
);
const everything = fc.oneof(
  { weight: 10, arbitrary: anything },
  packets,
  packets,
  syncs,
  cutFrames,
);

const storm = fc
  .array(fc.tuple(fc.constantFrom(0.0004, 0.001, 0.02, 0.05, 0.1, 0.4, 1, 3), everything), {
    maxLength: 25,
  })
  .map((steps) => {
    let at = 0;
    return steps.map(([pause, event]) => event((at += pause)));
  });

const instants = Array.from({ length: 60 }, (_, index) => index * 0.37);
const channels = ['warm', 'indigo'];

function lights(story: ModelStory, at: readonly number[] = instants) {
  return channels.flatMap((channel) => at.map((instant) => story.levelAt(channel, instant)));
}

const told = (heard: readonly Heard[], options: StoryOptions = from(200)) =>
  tellStory(alcove, heard, 1000, options);

/** So long after an event the light may still be on its way, and nothing has to say why, s. */
function settlingOf({ kind }: Heard): number {
  if (kind === 'reset' || kind === 'supply' || kind === 'console') return 1;
  return kind === 'dmx' ? 0.001 : 0;
}

describe('laws of the model lamp', () => {
  it('changes nothing without an event', () => {
    fc.assert(
      fc.property(fc.array(phrase, { maxLength: 6 }), (own) => {
        const story = told(spoken(own));
        const [one, other] = [story.levelAt('warm', 100), story.levelAt('warm', 999)];
        expect(one).toEqual(other);
        expect(story.leadAt('warm', 100)).toBe(story.leadAt('warm', 999));
      }),
    );
  });

  it('has low bounds not above high ones, whatever arrives, and light between dark and full', () => {
    fc.assert(
      fc.property(storm, (heard) => {
        for (const { low, high } of lights(tellStory(alcove, heard, 200))) {
          expect(low).toBeGreaterThanOrEqual(0);
          expect(low).toBeLessThanOrEqual(high);
          expect(high).toBeLessThan(1.06);
        }
      }),
      { numRuns: 200 },
    );
  });

  it('has the nominal course within its bounds, whatever arrives', () => {
    fc.assert(
      fc.property(fc.array(phrase, { maxLength: 8 }), (own) => {
        const heard = spoken(own);
        const { memory } = from(200);
        const bounds = lights(told(heard, memory ? { memory } : {}));
        for (const [index, { low, high }] of lights(told(heard)).entries()) {
          expect(low).toBeGreaterThanOrEqual(bounds[index]?.low ?? 0);
          expect(high).toBeLessThanOrEqual(bounds[index]?.high ?? 1);
        }
      }),
    );
  });

  it('has one course without latency and tolerance, where nothing is left open', () => {
    fc.assert(
      fc.property(fc.array(fc.oneof(sets, storedScenes, scenes), { maxLength: 8 }), (own) => {
        // Unchanged frames of a stream leave something open, and so does a last level that another link gave.
        const heard = spoken(own).filter(({ kind }) => kind !== 'dmx');
        for (const { low, high } of lights(told(heard))) expect(high).toBeCloseTo(low, 12);
      }),
    );
  });

  it('is the same story when it is told in two parts', () => {
    fc.assert(
      fc.property(storm, fc.nat(25), fc.constantFrom(nominal, {}), (heard, cut, options) => {
        const whole = tellStory(alcove, heard, 200, options);
        const place = Math.min(cut, heard.length);
        const end = heard[place - 1]?.at ?? 0;
        const first = tellStory(alcove, heard.slice(0, place), end, options);
        const second = tellStory(alcove, heard.slice(place), 200, { ...options, after: first.end });
        expect([...first.answers, ...second.answers]).toEqual(whole.answers);
        // What the light may still do from before the cut is gone after every latency.
        const later = instants.filter((at) => at > end + 2);
        expect(lights(second, later)).toEqual(lights(whole, later));
      }),
      { numRuns: 200 },
    );
  });

  it('does not mind what is not for it', () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(sets, settings, scenes), { maxLength: 5 }),
        fc.array(others, { maxLength: 3 }),
        fc.nat(5),
        (own, foreign, place) => {
          const before = own.slice(0, place);
          const rest = own.slice(place);
          const away = 1 + 0.4 * before.length;
          const rests = spoken(rest, away + 10);
          const plain = told([...spoken(before), ...rests]);
          const disturbed = told([...spoken(before), ...spoken(foreign, away + 3), ...rests]);
          expect(lights(disturbed)).toEqual(lights(plain));
          const tail = (story: ModelStory) =>
            story.answers
              .slice(-rests.filter(({ kind }) => kind !== 'dmx').length || story.answers.length + 1)
              .map(({ oneOf }) => oneOf);
          if (rests.some(({ kind }) => kind !== 'dmx'))
            expect(tail(disturbed)).toEqual(tail(plain));
        },
      ),
    );
  });

  it('does not change the light by saying the same again', () => {
    fc.assert(
      fc.property(fc.array(fc.oneof(sets, settings), { maxLength: 4 }), sets, (own, last) => {
        const at = 1 + 0.4 * own.length;
        const once = told([...spoken(own), ...last(at)]);
        const again = told([...spoken(own), ...last(at), ...last(at + 20)]);
        const late = [at + 19.9, at + 20.5, at + 60];
        expect(lights(again, late)).toEqual(lights(once, late));
      }),
    );
  });

  it('gives no less light for a higher level', () => {
    fc.assert(
      fc.property(fc.array(settings, { maxLength: 3 }), level, level, (own, one, other) => {
        const [low, high] = [Math.min(one, other), Math.max(one, other)].map((value) =>
          told([...spoken(own), dali(5, [0x0a, value])]).levelAt('warm', 500),
        );
        expect(low?.low).toBeLessThanOrEqual(high?.low ?? 0);
        expect(low?.high).toBeLessThanOrEqual(high?.high ?? 0);
      }),
    );
  });

  it('tells the same whatever order it is asked in', () => {
    fc.assert(
      fc.property(storm, fc.shuffledSubarray(instants, { minLength: 60 }), (heard, order) => {
        const rising = tellStory(alcove, heard, 200);
        const expected = new Map(instants.map((at) => [at, rising.levelAt('warm', at)]));
        const shuffled = tellStory(alcove, heard, 200);
        for (const at of order) expect(shuffled.levelAt('warm', at)).toEqual(expected.get(at));
      }),
    );
  });

  it('tells of an instant what it tells of it when it is asked of nothing else', () => {
    const dense = Array.from({ length: 4000 }, (_, k) => 0.0137 * k);
    fc.assert(
      fc.property(storm, fc.subarray(dense, { minLength: 20, maxLength: 40 }), (heard, some) => {
        const rising = tellStory(alcove, heard, 200);
        const found = new Map(dense.map((at) => [at, rising.levelAt('warm', at)]));
        for (const at of some)
          expect(found.get(at)).toEqual(tellStory(alcove, heard, 200).levelAt('warm', at));
      }),
      { numRuns: 15 },
    );
  });

  it('is the same fifty days later: no clock of it wraps', () => {
    const days = 50 * 86_400;
    fc.assert(
      fc.property(fc.array(phrase, { maxLength: 8 }), (own) => {
        const early = lights(told(spoken(own), {}));
        const late = tellStory(alcove, spoken(own, days + 1), days + 1000, {});
        const shifted = lights(
          late,
          instants.map((at) => at + days),
        );
        for (const [index, { low, high }] of shifted.entries()) {
          expect(low).toBeCloseTo(early[index]?.low ?? -1, 6);
          expect(high).toBeCloseTo(early[index]?.high ?? -1, 6);
        }
      }),
      { numRuns: 15 },
    );
  });

  it('says why whenever it does not know', () => {
    fc.assert(
      fc.property(storm, (heard) => {
        const story = tellStory(alcove, heard, 200, nominal);
        for (const at of instants) {
          const { low, high } = story.levelAt('warm', at);
          const settling = heard.some(
            (event) => at >= event.at && at < event.at + settlingOf(event),
          );
          if (high - low > 1e-9 && !settling) expect(story.whyWide(at)).not.toBeNull();
        }
      }),
      { numRuns: 200 },
    );
  });
});
