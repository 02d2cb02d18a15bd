import { describe, expect, test } from 'vitest';
import { forwardFrameTime } from '../../../../drivers/dali/frame.ts';
import { target } from '../firmware/alcove.ts';
import { call, LinkDesk } from './link-desk.ts';

const links = ['console', 'dali', 'dmx', 'sacn'] as const;

describe('every link', () => {
  test.each(links)('%s: sets a level and a mix', async (name) => {
    const desk = new LinkDesk();
    const link = desk.open(name);
    await link.set(target(1, { warm: 0.4, red: 0.25 }), call());
    await desk.clock.waitUntil(desk.clock.now() + 0.1, call().signal);
    expect(desk.lamp.light(0)).toBeCloseTo(0.4, 4);
    expect(desk.lamp.light(1)).toBe(0);
    expect(desk.lamp.light(2)).toBeCloseTo(0.25, 4);
  });

  test.each(links)('%s: fades geometrically and in time', async (name) => {
    const desk = new LinkDesk();
    const link = desk.open(name);
    await link.set(target(1, { warm: 1, red: 0.1 }), call());
    desk.runUntil(desk.clock.now() + 0.2);
    await link.fade(target(0.01, { warm: 1, red: 1 }), 1, call());
    const start = desk.clock.now();
    desk.runUntil(start + 0.5);
    // DALI sends the nearest level: 85 is 0.991 %. A stream of frames lags by a frame and its glide.
    const [half, halfRed] = [0.1, Math.sqrt(0.1 * 0.01)];
    const late = name === 'dmx' || name === 'sacn' ? 0.3 : 0.04;
    expect(Math.abs(Math.log(desk.lamp.light(0, 8) / half))).toBeLessThan(late);
    expect(Math.abs(Math.log(desk.lamp.light(2, 8) / halfRed))).toBeLessThan(late);
    desk.runUntil(start + 1.1);
    expect(desk.lamp.light(0) / 0.01).toBeCloseTo(1, 1);
    expect(desk.lamp.light(2) / 0.01).toBeCloseTo(1, 1);
  });

  test.each(links)(
    '%s: puts the lamp in the dark, and says whether the lamp confirmed it',
    async (name) => {
      const desk = new LinkDesk();
      const link = desk.open(name);
      await link.set(target(1, { warm: 1 }), call());
      const { confirmed } = await link.safe(call());
      desk.runUntil(desk.clock.now() + 0.06);
      expect(desk.dark()).toBe(true);
      expect(confirmed).toBe(name === 'console' || name === 'dali');
    },
  );

  test.each(links)('%s: refuses calls after close, and those that were cancelled', async (name) => {
    const desk = new LinkDesk();
    const link = desk.open(name);
    const cancelled = { signal: AbortSignal.abort(), deadline: 1 };
    await expect(link.set(target(1, {}), cancelled)).rejects.toMatchObject({ kind: 'cancelled' });
    await link.close();
    await link.close();
    await expect(link.set(target(1, {}), call())).rejects.toMatchObject({ kind: 'closed' });
    await expect(link.safe(call())).rejects.toMatchObject({ kind: 'closed' });
  });

  test.each(links)('%s: noise moves nothing, and the next command is obeyed', async (name) => {
    const desk = new LinkDesk();
    const link = desk.open(name);
    await link.set(target(0.5, { warm: 1 }), call());
    desk.runUntil(desk.clock.now() + 0.1);
    const before = desk.lamp.light(0, 8);
    // A line end, the start code 0, and the broadcast address of a level.
    await link.noise(Uint8Array.of(0x99, 0x0a, 0, 0xfe, 3, 0xff, 7, 0x80, 1), call());
    desk.runUntil(desk.clock.now() + 0.05);
    expect(desk.lamp.light(0, 8)).toBe(before);
    await link.set(target(0.1, { warm: 1 }), call());
    desk.runUntil(desk.clock.now() + 0.1);
    expect(desk.lamp.light(0, 8)).toBeCloseTo(0.1, 2);
  });

  test.each(links)('%s: restarts the firmware', async (name) => {
    const desk = new LinkDesk();
    const link = desk.open(name);
    await link.set(target(0.5, { warm: 1 }), call());
    desk.runUntil(desk.clock.now() + 0.1);
    await link.reset(call());
    desk.runUntil(desk.clock.now() + 0.002);
    expect(desk.dark()).toBe(true);
    desk.runUntil(desk.clock.now() + 0.4);
    expect(desk.dark()).toBe(false);
  });
});

test('a line of the console takes 10 bits a byte at its baud rate', async () => {
  const desk = new LinkDesk();
  const before = desk.clock.now();
  await desk.open('console').send({ link: 'console', line: 'who' }, call());
  // Computed: 4 bytes x 10 bits / 115200 bit/s.
  expect(desk.clock.now() - before).toBeCloseTo(40 / 115200, 9);
});

test('the console passes a refusal on', async () => {
  const desk = new LinkDesk();
  const link = desk.open('console');
  await expect(link.fade(target(1, {}), 1e6, call())).rejects.toMatchObject({
    // The lamp says who it is in between, and refuses again: it is the lamp that does not do what its file allows.
    ...{ name: 'LampFailure', manner: 'refused' },
    message: expect.stringContaining('no time out of range'),
  });
});

test('a lamp that does not answer its console is a time-out', async () => {
  const desk = new LinkDesk({ links: { loses: () => true } });
  await expect(desk.open('console').set(target(1, {}), call())).rejects.toMatchObject({
    kind: 'timeout',
  });
});

describe('dali', () => {
  test('a frame takes 15.83 ms; a set at unchanged mix and fade time is one frame', async () => {
    const desk = new LinkDesk();
    const link = desk.open('dali');
    await link.set(target(1, { warm: 1 }), call());
    desk.runUntil(desk.clock.now() + 0.1);
    const before = desk.clock.now();
    await link.set(target(0.5, { warm: 1 }), call());
    // Confirmed in public texts on IEC 62386-101: 19 bit times of 833.3 µs.
    expect(desk.clock.now() - before).toBeCloseTo(0.015833, 6);
    expect(forwardFrameTime).toBeCloseTo(0.015833, 6);
  });

  test('frames keep 13.5 ms between them at least', async () => {
    const desk = new LinkDesk();
    await desk.open('dali').set(target(0.5, { warm: 0.5 }), call());
    const ends = desk.arrived.map(({ at }) => at);
    const gaps = ends.slice(1).map((end, index) => end - ends[index]! - forwardFrameTime);
    expect(Math.min(...gaps)).toBeGreaterThan(13.5e-3);
  });

  test('a query is answered, silence is null, and both take a backward frame', async () => {
    const desk = new LinkDesk();
    const link = desk.open('dali');
    const before = desk.clock.now();
    const reply = await link.send({ link: 'dali', frame: [0x0b, 0xa1], answer: true }, call());
    expect(reply).toEqual({ byte: 254 });
    // 15.83 ms forward, 5.5 to 10.5 ms gap, 9.17 ms backward (confirmed).
    expect(desk.clock.now() - before).toBeGreaterThan(0.0305);
    expect(desk.clock.now() - before).toBeLessThan(0.0355);
    expect(await link.send({ link: 'dali', frame: [0x0d, 0xa1], answer: true }, call())).toBeNull();
  });

  test('a fade time that the table does not know is refused with the table', async () => {
    const link = new LinkDesk().open('dali');
    await expect(link.fade(target(1, { warm: 1 }), 3, call())).rejects.toMatchObject({
      kind: 'unsupported',
      message: expect.stringContaining('2.83'),
    });
  });

  test('a bus that is without power for half a second brings the system failure level', async () => {
    const desk = new LinkDesk();
    const link = desk.open('dali');
    await link.set(target(1, { warm: 1 }), call());
    await link.send({ link: 'dali', frame: [0xa3, 170] }, call());
    await link.send({ link: 'dali', frame: [0x0b, 0x2c], twice: true }, call());
    await link.carry(false, call());
    desk.runUntil(desk.clock.now() + 0.45);
    await link.carry(true, call());
    desk.runUntil(desk.clock.now() + 1);
    expect(desk.lamp.light(0)).toBeCloseTo(1, 4);
    await link.carry(false, call());
    desk.runUntil(desk.clock.now() + 0.55);
    // Confirmed in public tables of IEC 62386-102: level 170 is 10.09 %.
    expect(desk.lamp.light(0)).toBeCloseTo(0.1009, 4);
  });
});

describe('slots', () => {
  test('a DMX frame has its break, and 44 µs a slot', async () => {
    const desk = new LinkDesk();
    await desk.open('dmx').set(target(1, { warm: 1 }), call());
    const [begin, ...bytes] = desk.arrived;
    expect(begin?.input).toMatchObject({ link: 'dmx', event: 'break' });
    expect(bytes).toHaveLength(15);
    expect(bytes[14]!.at - bytes[0]!.at).toBeCloseTo(14 * 44e-6, 9);
  });

  test('DMX frames have the break, the mark, the rate and the slots that are asked for', async () => {
    const desk = new LinkDesk();
    const link = desk.open('dmx');
    const begun = desk.clock.now();
    expect(link.shape?.({ rate: 10, break: 1e-3, mark: 2e-3, slots: 20 })).toBeNull();
    await link.set(target(1, { warm: 1 }), call());
    desk.runUntil(desk.clock.now() + 0.25);
    const breaks = desk.arrived.filter(({ input }) => 'event' in input && input.event === 'break');
    expect(breaks.map(({ input }) => input)).toEqual(
      new Array(3).fill({ link: 'dmx', event: 'break', low: 1e-3, mark: 2e-3 }),
    );
    const [first, second] = breaks.map(({ at }) => at);
    expect(first).toBeCloseTo(begun + 1e-3, 9);
    expect((second ?? 0) - (first ?? 0)).toBeCloseTo(0.1, 9);
    const bytes = desk.arrived.slice(1, desk.arrived.indexOf(breaks[1]!));
    expect(bytes).toHaveLength(21);
    expect(bytes[0]!.at).toBeCloseTo(begun + 3e-3 + 44e-6, 9);
    expect(link.shape?.(null)).toBeNull();
    await link.set(target(0.5, { warm: 1 }), call());
    desk.runUntil(desk.clock.now() + 0.06);
    expect(desk.arrived.slice(-30).map(({ input }) => input)).toContainEqual(
      expect.objectContaining({ low: 176e-6, mark: 12e-6 }),
    );
  });

  test.each([
    ['dmx', 1.2, 1.4],
    ['sacn', 2.4, 3.1],
  ] as const)(
    '%s: a lamp that goes off on loss does so between %s and %s s',
    async (name, not, by) => {
      const { alcove } = await import('../firmware/alcove.ts');
      const loss = { firstSlot: 1, bits: 16, onLoss: 'off' } as const;
      const lamp = {
        ...alcove,
        links: { ...alcove.links, dmx: loss, sacn: { ...loss, universe: 7 } },
      };
      const desk = new LinkDesk({ lamp });
      const link = desk.open(name);
      await link.set(target(1, { warm: 1 }), call());
      desk.runUntil(desk.clock.now() + 10);
      expect(desk.dark()).toBe(false);
      await link.carry(false, call());
      const stopped = desk.clock.now();
      desk.runUntil(stopped + (name === 'sacn' ? not - 0.9 : not - 0.03));
      expect(desk.dark()).toBe(false);
      desk.runUntil(stopped + by);
      expect(desk.dark()).toBe(true);
      await link.carry(true, call());
      desk.runUntil(desk.clock.now() + 0.1);
      expect(desk.dark()).toBe(false);
    },
  );

  test.each(['dmx', 'sacn'] as const)(
    '%s: start codes other than 0 are not levels',
    async (name) => {
      const desk = new LinkDesk();
      const link = desk.open(name);
      await link.set(target(0.5, { warm: 1 }), call());
      for (const startCode of [0x17, 0x55, 0xcc, 0xcf])
        await link.send({ link: name, startCode, slots: new Array(20).fill(255) }, call());
      desk.runUntil(desk.clock.now() + 0.06);
      expect(desk.lamp.light(0)).toBeCloseTo(0.5, 4);
      expect(desk.lamp.light(1)).toBe(0);
    },
  );
});

describe('sACN receiver rules (ANSI E1.31-2018)', () => {
  const full = new Array(14).fill(255);

  async function halfLit(links = {}) {
    const desk = new LinkDesk({ links });
    const link = desk.open('sacn');
    await link.set(target(0.5, { warm: 1 }), call());
    desk.runUntil(desk.clock.now() + 0.2);
    return { desk, link };
  }

  async function after(message: object, links = {}): Promise<number> {
    const { desk, link } = await halfLit(links);
    await link.send({ link: 'sacn', startCode: 0, slots: full, ...message }, call());
    desk.runUntil(desk.clock.now() + 0.08);
    return desk.lamp.light(0, 8);
  }

  test('preview does not reach the light, unless the node is wrong', async () => {
    expect(await after({ preview: true })).toBeCloseTo(0.5, 4);
    expect(await after({ preview: true }, { takesPreview: true })).toBe(1);
  });

  test('the higher priority wins', async () => {
    expect(await after({ priority: 99 })).toBeCloseTo(0.5, 4);
    expect(await after({ priority: 101 })).toBe(1);
    expect(await after({ priority: 99 }, { ignoresPriority: true })).toBe(1);
  });

  test('a packet out of sequence is dropped', async () => {
    expect(await after({ sequence: 0 })).toBeCloseTo(0.5, 4);
    expect(await after({ sequence: 0 }, { ignoresSequence: true })).toBe(1);
    expect(await after({ sequence: 200 })).toBe(1);
  });

  test('a stream that ends leaves the field to the lower priority at once', async () => {
    const { desk, link } = await halfLit();
    await link.send({ link: 'sacn', startCode: 0, slots: full, priority: 120 }, call());
    desk.runUntil(desk.clock.now() + 0.1);
    expect(desk.lamp.light(0, 8)).toBe(1);
    await link.send(
      { link: 'sacn', startCode: 0, slots: full, priority: 120, terminated: true },
      call(),
    );
    desk.runUntil(desk.clock.now() + 0.1);
    expect(desk.lamp.light(0, 8)).toBeCloseTo(0.5, 4);
  });
});

describe('virtual time', () => {
  test('a console that stays silent is a timeout after half a second of the lamp, not of the wall clock', async () => {
    const desk = new LinkDesk({ links: { loses: () => true } });
    const before = desk.clock.now();
    const silent = desk.open('console').identify({ ...call(), deadline: 60 });
    await expect(silent).rejects.toMatchObject({
      kind: 'timeout',
      message: expect.stringContaining('No answer from console within 0.5 s'),
    });
    expect(desk.clock.now() - before).toBeCloseTo(0.5, 2);
  });

  test('a call ends at its deadline on the virtual clock, and the next one goes out whole', async () => {
    const desk = new LinkDesk();
    const link = desk.open('dali');
    // 24 frames and more: about 0.8 s.
    const late = link.set(target(1, { warm: 0.3, red: 0.2 }), { ...call(), deadline: 0.2 });
    await expect(late).rejects.toMatchObject({ kind: 'timeout' });
    await link.set(target(1, { warm: 0.4, red: 0.25 }), call());
    desk.runUntil(desk.clock.now() + 0.1);
    expect(desk.lamp.light(0)).toBeCloseTo(0.4, 4);
    expect(desk.lamp.light(2)).toBeCloseTo(0.25, 4);
  });

  test('a configuration command that expects an answer goes out twice, not three times', async () => {
    const desk = new LinkDesk();
    const twice = { link: 'dali', frame: [0x0b, 0x2e], twice: true, answer: true } as const;
    expect(await desk.open('dali').send(twice, call())).toBeNull();
    expect(desk.arrived.filter(({ input }) => input.link === 'dali')).toHaveLength(2);
  });
});
