import { describe, expect, it } from 'vitest';
import type { Heard } from '../../harness/bench/heard.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { type StoryOptions, tellStory } from '../../harness/model/model-lamp.ts';
import { dmx, sacn, slots, syncPacket, value } from './slot-messages.ts';
import { alcove, all, dali, line, nominal } from './told.ts';

const exactly = (value: number) => ({
  low: expect.closeTo(value, 9),
  high: expect.closeTo(value, 9),
});
const light = (
  heard: readonly Heard[],
  at: number,
  options: StoryOptions = nominal,
  lamp: Lamp = alcove,
) => tellStory(lamp, heard, 1e7, options).levelAt('warm', at);
const dark: Lamp = {
  ...alcove,
  links: {
    ...alcove.links,
    dmx: { firstSlot: 1, bits: 16, onLoss: 'off' },
    sacn: { universe: 7, firstSlot: 1, bits: 16, onLoss: 'off' },
  },
};
describe('DMX512', () => {
  it('has 0 dark, 1 at the bottom of the curve, the highest value at full light', () => {
    expect(light([dmx(1, slots(0))], 2)).toEqual(exactly(0));
    expect(light([dmx(1, slots(1))], 2)).toEqual(exactly(0.001));
    expect(light([dmx(1, slots(32_768))], 2)).toEqual(exactly(Math.sqrt(0.001)));
    expect(light([dmx(1, slots(65_535))], 2)).toEqual(exactly(1));
    expect(light([dmx(1, slots(65_535, 6553.5))], 2).low).toBeCloseTo(0.1, 4);
  });

  it('reads 8 bits from its first slot on', () => {
    const lamp: Lamp = { ...alcove, links: { dmx: { firstSlot: 4, bits: 8, onLoss: 'hold' } } };
    expect(light([dmx(1, [9, 9, 9, 255, 51, 0, 0, 0, 0, 0])], 2, nominal, lamp)).toEqual(
      exactly(0.2),
    );
  });

  it('reads a level along a linear curve', () => {
    const lamp: Lamp = { ...alcove, curve: { kind: 'linear', bottom: 0.001 } };
    expect(light([dmx(1, slots(13_107))], 2, nominal, lamp)).toEqual(exactly(0.2));
    const lowest = tellStory(lamp, [dmx(1, slots(1))], 2, nominal);
    expect(lowest.levelAt('warm', 2).low).toBeCloseTo(1 / 65_535, 9);
    expect(lowest.levelAt('warm', 2).high).toBeCloseTo(0.001, 9);
    expect(lowest.whyWide(2)).toContain('below the bottom');
  });

  it('ignores every start code but 0 (E1.11 8.5)', () => {
    const heard = [dmx(1, slots(65_535))];
    for (let code = 1; code < 256; code++) heard.push(dmx(1 + code, slots(0), code));
    expect(light(heard, 300)).toEqual(exactly(1));
  });

  it('leaves open whether frames that end before the first slot of the lamp are a signal', () => {
    const none = (at: number) => dmx(at, []);
    const heard = [dmx(1, slots(65_535)), none(2), none(3)];
    expect(light(heard, 4, nominal, dark)).toEqual({ low: 0, high: 1 });
    expect(light(heard, 4)).toEqual(exactly(1));
  });

  it('keeps the slots that a shorter frame does not send (E1.11)', () => {
    expect(light([dmx(1, slots(65_535, 13_107)), dmx(2, [255])], 3)).toEqual(exactly(0.2));
    expect(light([dmx(1, slots(65_535, 13_107)), dmx(2, [])], 3)).toEqual(exactly(0.2));
  });

  it('leaves open whether such a frame is a signal, but not differently each time', () => {
    const cut = (at: number) => dmx(at, [0]);
    expect(light([dmx(1, slots(65_535)), cut(2)], 5, nominal, dark)).toEqual({ low: 0, high: 1 });
    const after: Heard[] = [dmx(1, slots(65_535)), cut(2), dmx(3, slots(65_535, 13_107)), cut(4)];
    const story = tellStory(dark, after, 4.5, nominal);
    expect(story.levelAt('warm', 3.5)).toEqual(exactly(0.2));
    expect(story.whyWide(4.5)).toContain('not count it as a signal');
  });

  it('may keep its light where nothing but cut frames ever came, or lose it', () => {
    const lit = { ...nominal, memory: { level: 0.5, powerOnLevel: 255, systemFailureLevel: 255 } };
    const cut: Heard[] = [dmx(1, [255]), dmx(2, [255]), { kind: 'dmx-stops', at: 2 }];
    expect(light(cut, 9, lit, dark)).toEqual({ low: 0, high: 0.5 });
  });

  it('holds its light for ever without a signal, where the lamp file says hold', () => {
    expect(light([dmx(1, slots(65_535)), { kind: 'dmx-stops', at: 2 }], 1e6)).toEqual(exactly(1));
  });

  it('goes dark between 1 s and 1.25 s after the signal, where it says off', () => {
    const heard: Heard[] = [dmx(1, slots(65_535)), { kind: 'dmx-stops', at: 2 }];
    const options = { ...nominal, lossDelay: 0.25 };
    expect(light(heard, 2.99, options, dark)).toEqual(exactly(1));
    expect(light(heard, 3.2, options, dark)).toEqual({ low: 0, high: 1 });
    expect(light(heard, 3.26, options, dark)).toEqual(exactly(0));
  });

  it('comes back dark or lit when the power is cycled after that', () => {
    const heard: Heard[] = [
      dmx(1, slots(65_535)),
      { kind: 'dmx-stops', at: 2 },
      { kind: 'supply', at: 5, volts: 0 },
      { kind: 'supply', at: 6, volts: 48 },
    ];
    expect(light(heard, 8, nominal, dark)).toEqual({ low: 0, high: 1 });
  });

  it('follows the first frame after a loss', () => {
    const heard: Heard[] = [
      dmx(1, slots(65_535)),
      { kind: 'dmx-stops', at: 2 },
      dmx(9, slots(65_535)),
    ];
    expect(light(heard, 10, nominal, dark)).toEqual(exactly(1));
  });

  it('does not lose a signal that comes again within a second', () => {
    const heard: Heard[] = [
      dmx(1, slots(65_535)),
      { kind: 'dmx-stops', at: 2 },
      dmx(2.9, slots(65_535)),
    ];
    expect(light(heard, 5, nominal, dark)).toEqual(exactly(1));
  });

  it('may be acted on slot by slot or as a whole frame', () => {
    const long = [...slots(65_535), ...Array(498).fill(0)];
    expect(light([dmx(1, long)], 1.0225)).toEqual({ low: 0, high: 1 });
    expect(light([dmx(1, long)], 1.0226)).toEqual(exactly(1));
  });

  it('leaves open which came first, while a frame is under way, and no longer', () => {
    const long = [...slots(65_535), ...Array(498).fill(0)];
    const story = tellStory(alcove, [dmx(1, long), line(1.02, `dim 10 mix ${all}`)], 9, nominal);
    expect(story.levelAt('warm', 5)).toEqual({ low: expect.closeTo(0.1, 9), high: 1 });
    expect(story.whyWide(5)).toContain('which of them');
    expect(light([dmx(1, long), line(1.023, `dim 10 mix ${all}`)], 5)).toEqual(exactly(0.1));
    expect(light([dali(1, '0a fe'), line(1.0005, `dim 10 mix ${all}`)], 5)).toEqual(exactly(0.1));
    const ticked = { ...nominal, tick: 1e-3 };
    expect(light([dali(1, '0a fe'), line(1.0005, `dim 10 mix ${all}`)], 5, ticked).high).toBe(1);
  });

  it('wins with its last frame over what another link said, and loses to what comes later', () => {
    expect(light([line(1, `dim 10 mix ${all}`), dmx(2, slots(65_535))], 3)).toEqual(exactly(1));
    expect(light([dmx(1, slots(65_535)), line(2, `dim 10 mix ${all}`)], 3)).toEqual(exactly(0.1));
  });

  it('leaves open whether frames without news take the light back, but not differently each time', () => {
    const heard = [dmx(1, slots(65_535)), line(2, `dim 10 mix ${all}`), dmx(2.1, slots(65_535))];
    const story = tellStory(alcove, heard, 3, nominal);
    expect(story.levelAt('warm', 3)).toEqual({ low: expect.closeTo(0.1, 9), high: 1 });
    expect(story.whyWide(3)).toContain('unchanged');
    expect(light([...heard, dmx(2.2, slots(1))], 3)).toEqual(exactly(0.001));
  });
});

describe('RDM', () => {
  /** A message that sets a parameter of two bytes, its checksum included (E1.20 6.2). */
  const rdm = (
    at: number,
    parameter: readonly number[],
    data: readonly number[],
    command = 0x30,
  ): Heard => {
    const head = [1, 24 + data.length, ...Array(6).fill(255), ...Array(6).fill(1), 0, 1, 0, 0, 0];
    const body = [...head, command, ...parameter, data.length, ...data];
    const sum = body.reduce((total, byte) => total + byte, 0xcc);
    return { kind: 'dmx', at, startCode: 0xcc, slots: [...body, sum >> 8, sum & 255] };
  };
  const bright = dmx(2, slots(65_535));

  it('moves no light by asking, nor with a wrong checksum', () => {
    expect(light([bright, rdm(3, [0, 0xf0], [], 0x20)], 4)).toEqual(exactly(1));
    const spoilt = rdm(3, [0x10, 1], [1]);
    const wrong = spoilt.kind === 'dmx' ? { ...spoilt, slots: spoilt.slots.with(24, 0) } : spoilt;
    expect(light([bright, wrong], 3.1)).toEqual(exactly(1));
    expect(light([bright, spoilt], 3.1)).toEqual({ low: 0, high: 1 });
  });

  it('may give another start address', () => {
    const frame = [0, 0, 0, 0, ...slots(65_535)];
    expect(light([rdm(1, [0, 0xf0], [0, 5]), dmx(2, frame)], 4)).toEqual({ low: 0, high: 1 });
    expect(light([rdm(1, [0, 0xf0], [0, 1]), bright], 4)).toEqual(exactly(1));
  });

  it('may identify the lamp until it is told to stop, and change its dimming for good', () => {
    expect(light([bright, rdm(3, [0x10, 0], [1])], 4)).toEqual({ low: 0, high: 1 });
    expect(light([bright, rdm(3, [0x10, 0], [1]), rdm(5, [0x10, 0], [0])], 6)).toEqual(exactly(1));
    expect(light([rdm(1, [3, 0x43], [2]), bright], 6)).toEqual({ low: 0, high: 1 });
    const off: Heard = { kind: 'supply', at: 7, volts: 0 };
    expect(light([rdm(1, [3, 0x43], [2]), bright, off], 8)).toEqual(exactly(0));
  });
});

const full = slots(65_535);
const low = slots(value(0.1));
const tenth = { low: expect.closeTo(0.1, 4), high: expect.closeTo(0.1, 4) };

describe('sACN', () => {
  const changed = (datagram: (bytes: number[]) => void): Heard => {
    const event = sacn(2, full);
    const bytes = event.kind === 'sacn' ? [...event.datagram] : [];
    datagram(bytes);
    return { kind: 'sacn', at: 2, datagram: bytes };
  };

  it('carries slots as DMX512 does', () => {
    expect(light([sacn(1, slots(1))], 2)).toEqual(exactly(0.001));
    expect(light([sacn(1, full)], 2)).toEqual(exactly(1));
  });

  it.each([
    ['6.2.7 of another universe', sacn(2, full, { universe: 8 })],
    ['6.2.6 that is a preview', sacn(2, full, { options: 0x80, by: 'two', priority: 200 })],
    ['6.7.2 that came late', sacn(2, full, { sequence: 250 })],
    ['6.7.2 that came twice', sacn(2, full, { sequence: 10 })],
    ['6.2.3 of a lower priority', sacn(2, full, { by: 'two', priority: 50 })],
    [
      '7 of a start code of priorities for each slot',
      sacn(2, Array(512).fill(200), { startCode: 0xdd }),
    ],
    ['5.1 with another preamble', changed((bytes) => (bytes[1] = 17))],
    ['5.3 with another identifier', changed((bytes) => (bytes[4] = 0x42))],
    ['5.5 with another root vector', changed((bytes) => (bytes[21] = 9))],
    ['6.1 with another framing vector', changed((bytes) => (bytes[43] = 9))],
    ['7.1 with another property vector', changed((bytes) => (bytes[117] = 3))],
    ['7.2 with another address type', changed((bytes) => (bytes[118] = 0))],
    ['7.5 that announces more slots than it has', changed((bytes) => (bytes[124] = 200))],
    ['5.1 that is cut off', changed((bytes) => bytes.splice(100))],
    ['that is empty', { kind: 'sacn', at: 2, datagram: [] } as Heard],
  ])('ignores a packet %s (E1.31)', (_, packet) => {
    expect(light([sacn(1, low), packet], 3)).toEqual(tenth);
  });

  it('follows packets whose number is more than 19 behind: a sender that began anew (6.7.2)', () => {
    expect(light([sacn(1, low, { sequence: 100 }), sacn(2, full, { sequence: 80 })], 3)).toEqual(
      exactly(1),
    );
    expect(light([sacn(1, low, { sequence: 100 }), sacn(2, full, { sequence: 81 })], 3)).toEqual(
      tenth,
    );
    expect(light([sacn(1, low, { sequence: 255 }), sacn(2, full, { sequence: 0 })], 3)).toEqual(
      exactly(1),
    );
  });

  it('leaves open whether the first packet of a source counts in its sequence where it has no levels (6.7.2)', () => {
    const early = (packet: object) => sacn(2, low, { by: 'two', sequence: 5, ...packet });
    const guest = (sequence: number, at = 2.5) =>
      sacn(at, full, { by: 'two', priority: 150, sequence });
    const heard = (first: Heard, second: Heard) => light([sacn(1, low), first, second], 3);
    const open = { low: expect.closeTo(0.1, 4), high: 1 };
    expect(heard(early({ startCode: 0xdd }), guest(5))).toEqual(open);
    expect(heard(early({ options: 0x80 }), guest(250))).toEqual(open);
    expect(heard(early({ startCode: 0xdd }), guest(6))).toEqual(exactly(1));
    // A source that was lost begins anew.
    const kept = [2.8, 3.7, 4.6].map((at) => sacn(at, low));
    const longAgo = [sacn(1, low), early({ startCode: 0xdd }), ...kept, guest(5, 5)];
    expect(light(longAgo, 5.4)).toEqual(exactly(1));
  });

  it('leaves open whether a packet with wrong lengths, or a priority beyond 200, counts', () => {
    const wrong = changed((bytes) => (bytes[17] = 0));
    expect(light([sacn(1, low), wrong], 3)).toEqual({ low: expect.closeTo(0.1, 4), high: 1 });
    expect(light([sacn(1, low), sacn(2, full, { by: 'two', priority: 201 })], 3).high).toBe(1);
    const longer = changed((bytes) => bytes.push(0, 0));
    expect(light([sacn(1, low), longer], 3)).toEqual({ low: expect.closeTo(0.1, 4), high: 1 });
  });

  it('leaves open whether a source is there that sends nothing but cut packets', () => {
    const guest = sacn(1, full, { by: 'two', priority: 150, sequence: 1 });
    const own = [1.1, 1.9, 2.7, 3.5, 4.3, 5.1];
    const heard = (slots: readonly number[]) => [
      sacn(0.9, low),
      guest,
      ...own.map((at) => sacn(at, slots)),
    ];
    // Two and a half seconds after the guest: the other one leads, or nobody is there and the light stays.
    expect(light(heard(low), 5.5).high).toBeCloseTo(0.1, 4);
    expect(light(heard([0]), 5.5).high).toBe(1);
  });

  it('may take a source that goes on with cut packets for one that is lost', () => {
    const cut = [1.05, 1.9, 2.7].map((at, index) => sacn(at, [255], { sequence: 2 + index }));
    const heard = [sacn(1, full, { sequence: 1 }), ...cut];
    expect(light(heard, 2.5, lost, dark).low).toBe(0);
  });

  it('does not hand the light back to a source for the cut packets of another one', () => {
    const first = [sacn(1, low, { sequence: 1 }), sacn(1, [], { sequence: 2 })];
    const guest = sacn(1.0005, slots(value(0.03)), { by: 'two', priority: 150, sequence: 1 });
    const cut = [1.05, 1.9, 2.7].map((at, index) => sacn(at, [], { sequence: 3 + index }));
    const heard = [...first, guest, dali(1.02, '0a fe'), ...cut];
    // The level of the gear is the last word to a lamp that does not count cut packets.
    expect(light(heard, 4.6).high).toBe(1);
  });

  it('may never hand the light to a source that goes without another packet', () => {
    const lead = sacn(1, full, { by: 'two', priority: 200, sequence: 1 });
    const waits = sacn(2, low, { sequence: 1 });
    const exact = { ...nominal, latency: { ...nominal.latency, sacn: 0.05 } };
    expect(light([lead, waits], 5, exact).high).toBe(1);
    // It says something again before it goes.
    expect(light([lead, waits, sacn(3.6, low, { sequence: 2 })], 5, exact).high).toBeCloseTo(
      0.1,
      4,
    );
  });

  it('follows the highest priority, and the other source again when that ends, at once (6.2.6)', () => {
    const heard = [sacn(1, low), sacn(1.5, full, { by: 'two', priority: 150, sequence: 1 })];
    expect(light(heard, 2)).toEqual(exactly(1));
    const ended = [
      ...heard,
      sacn(2, full, { by: 'two', priority: 150, sequence: 2, options: 0x40 }),
      sacn(2.1, low),
    ];
    expect(light(ended, 2.2)).toEqual(tenth);
  });

  it('loses a source after 2.5 s (6.7.1), and follows the one that is left', () => {
    const heard: Heard[] = [sacn(1, full, { by: 'two', priority: 150, sequence: 1 })];
    for (let at = 1.5; at < 9; at += 0.5)
      heard.push(sacn(at, low, { sequence: Math.round(at * 2) }));
    const story = tellStory(alcove, heard, 9, { ...nominal, lossDelay: 0.25 });
    expect(story.levelAt('warm', 3.49)).toEqual(exactly(1));
    expect(story.levelAt('warm', 3.6)).toEqual({ low: expect.closeTo(0.1, 4), high: 1 });
    expect(story.levelAt('warm', 4.6)).toEqual(tenth);
    expect(story.leadAt('warm', 3.49)).toBe(0);
  });

  it('leaves open how sources of one priority are merged', () => {
    const story = tellStory(
      alcove,
      [sacn(1, low), sacn(1.5, full, { by: 'two', sequence: 1 })],
      3,
      nominal,
    );
    expect(story.levelAt('warm', 3)).toEqual({ low: expect.closeTo(0.1, 4), high: 1 });
    expect(story.whyWide(3)).toContain('same priority');
  });

  it('holds its light when the last source is lost, or goes dark, as its file says', () => {
    expect(light([sacn(1, full)], 1e6)).toEqual(exactly(1));
    expect(light([sacn(1, full)], 3.49, nominal, dark)).toEqual(exactly(1));
    expect(light([sacn(1, full)], 3.5, nominal, dark)).toEqual(exactly(0));
    expect(light([sacn(1, full), sacn(2, full, { options: 0x40 })], 2.1, nominal, dark)).toEqual(
      exactly(0),
    );
  });

  it('waits for the synchronisation of its address, and for no other (11)', () => {
    const heard = [
      sacn(1, low, { sync: 700 }),
      syncPacket(1.1, 700),
      sacn(1.2, full, { by: 'two', priority: 150, sync: 700, sequence: 1 }),
    ];
    expect(light(heard, 1.5)).toEqual(tenth);
    expect(light([...heard, syncPacket(1.4, 701)], 1.5)).toEqual(tenth);
    expect(light([...heard, syncPacket(1.4, 700)], 1.5)).toEqual(exactly(1));
  });

  it('leaves open whether it listens to an address that no packet has named (11)', () => {
    const heard = [sacn(1, low), syncPacket(1.1, 700), sacn(1.2, full, { sync: 700 })];
    expect(light(heard, 1.5)).toEqual({ low: tenth.low, high: 1 });
    expect(light([...heard, syncPacket(1.4, 700)], 1.5)).toEqual(exactly(1));
  });

  it('leaves open whether it waits before anybody synchronised (11.1)', () => {
    const heard = [sacn(1, low), sacn(2, full, { sync: 700 })];
    expect(light(heard, 2)).toEqual({ low: tenth.low, high: 1 });
    expect(light([...heard, syncPacket(2.1, 700)], 2.2)).toEqual(exactly(1));
  });

  it('waits for ever after synchronisation is lost, unless the packet says otherwise (6.2.6)', () => {
    const heard: Heard[] = [sacn(1, low, { sync: 700 }), syncPacket(1.1, 700)];
    for (let at = 1.5; at < 5; at += 0.5)
      heard.push(sacn(at, low, { sync: 700, sequence: Math.round(at * 10) }));
    expect(light([...heard, sacn(5, full, { sync: 700 })], 6)).toEqual(tenth);
    expect(light([...heard, sacn(5, full, { sync: 700, options: 0x20 })], 6)).toEqual(exactly(1));
  });

  it('leaves open whether slots that a packet does not send keep their values', () => {
    const heard = [sacn(1, full), sacn(2, [255, 255])];
    expect(light(heard, 3)).toEqual({ low: 0, high: 1 });
    expect(light([...heard, sacn(3, full)], 4)).toEqual(exactly(1));
  });

  const lost = { ...nominal, lossDelay: 0.25 };
  const open = { low: expect.closeTo(0.1, 4), high: 1 };

  it('leaves open whether a restart of the firmware takes its sources along', () => {
    const heard = [sacn(1, low), sacn(1.1, full, { by: 'two', priority: 150, sequence: 1 })];
    const restarted: Heard[] = [...heard, { kind: 'reset', at: 2 }, sacn(2.9, low)];
    expect(light(restarted, 3)).toEqual(open);
    expect(tellStory(alcove, restarted, 3, nominal).whyWide(3)).toContain('network interface');
    expect(light([...heard, { kind: 'reset', at: 2 }], 3)).toEqual(exactly(1));
    const cut: Heard[] = [...heard, { kind: 'supply', at: 2, volts: 0 }];
    const back: Heard[] = [...cut, { kind: 'supply', at: 2.2, volts: 48 }, sacn(2.9, low)];
    expect(light(back, 3)).toEqual(tenth);
  });

  it('follows nobody while it has no power', () => {
    const heard = [sacn(1, full), sacn(1.1, low, { by: 'two', priority: 150, sequence: 1 })];
    const cut: Heard[] = [...heard, { kind: 'supply', at: 2, volts: 0 }, sacn(2.5, full)];
    expect(light(cut, 4)).toEqual(exactly(0));
  });

  it('leaves open which of several sources that go at the same time was the last', () => {
    const heard = [
      sacn(1, full, { by: 'two', priority: 150, sequence: 1 }),
      sacn(1.01, low, { sequence: 2 }),
    ];
    expect(light(heard, 9, lost)).toEqual(open);
    const goesOn = [sacn(2.8, low, { sequence: 3 }), sacn(3.6, low, { sequence: 4 })];
    expect(light([...heard, ...goesOn], 9, lost)).toEqual(tenth);
  });

  it('leaves open whether levels that wait for synchronisation are a signal', () => {
    const heard = [
      sacn(1, full, { by: 'two', priority: 150, sequence: 1 }),
      syncPacket(1.1, 700),
      sacn(3, full, { sync: 700, sequence: 2 }),
    ];
    expect(light(heard, 5, lost, dark)).toEqual({ low: 0, high: 1 });
    expect(light(heard, 5, lost)).toEqual(exactly(1));
  });

  it('leaves open what cut slots do by each link: a lamp that takes those of sACN may leave those of DMX512', () => {
    const heard = [sacn(1, slots(1)), sacn(1.5, [255, 255]), dmx(2, [255, 255])];
    expect(light(heard, 2.5).high).toBe(1);
  });

  it('leaves open whether cut slots stand for their source, so that the lamp hears nothing while it leads', () => {
    const cut = (at: number) => sacn(at, [], { by: 'two', priority: 150 });
    const heard = [dali(0.5, '0a fe'), cut(1), sacn(1.5, slots(0))];
    expect(light(heard, 2)).toEqual({ low: 0, high: 1 });
    const guest = sacn(1, full, { by: 'two', priority: 150, sequence: 1 });
    const empty = [1.6, 2.6, 3.6, 4.6, 5.6].map((at) => sacn(at, []));
    expect(light([guest, sacn(1.5, low), ...empty], 6, lost)).toEqual({ low: 0, high: 1 });
  });

  it('leaves open whether a command comes before or behind a loss that is not noticed yet', () => {
    const heard = [sacn(1, full), sacn(1.1, []), line(2, `dim 100 mix ${all}`)];
    expect(light(heard, 5, lost, dark)).toEqual({ low: 0, high: 1 });
    expect(light([...heard, sacn(3, full)], 5, lost, dark)).toEqual(exactly(1));
    expect(light([...heard, line(4.2, `dim 100 mix ${all}`)], 5, lost, dark)).toEqual(exactly(1));
  });

  it('leaves open whether a source that comes back within the time of a loss was missed', () => {
    const heard = [
      sacn(1, full, { by: 'two', priority: 150, sequence: 1 }),
      syncPacket(1.05, 700),
      ...[1.1, 1.9, 2.7].map((at) => sacn(at, low)),
    ];
    const back = (at: number) =>
      sacn(at, low, { by: 'two', priority: 150, sync: 700, sequence: 2 });
    expect(light([...heard, back(3.6), sacn(4, low)], 5, lost)).toEqual(open);
    expect(light([...heard, back(3.8), sacn(4, low)], 5, lost)).toEqual(tenth);
  });

  it('shares the light with the other links: the last command wins', () => {
    expect(light([sacn(1, full), dali(2, '0a aa')], 3).low).toBeCloseTo(0.100914, 6);
    expect(light([dali(1, '0a aa'), sacn(2, full)], 3)).toEqual(exactly(1));
  });
});
