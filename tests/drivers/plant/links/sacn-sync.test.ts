import { expect, test } from 'vitest';
import { decodeExtended } from '../../../../drivers/sacn/extended-packet.ts';
import type { LampLink, RawMessage } from '../../../../harness/bench/ports.ts';
import { alcove, target } from '../firmware/alcove.ts';
import { call, LinkDesk } from './link-desk.ts';

const all = { warm: 1, cool: 1, red: 1, lime: 1, cyan: 1, indigo: 1 };
const full = new Array<number>(14).fill(255);
type Slots = Extract<RawMessage, { slots: readonly number[] }>;

const say = (link: LampLink, message: Partial<Slots>) =>
  link.send({ link: 'sacn', startCode: 0, slots: [], priority: 150, ...message }, call());
const sync = (link: LampLink, syncAddress: number) => say(link, { packet: 'sync', syncAddress });

async function streaming() {
  const desk = new LinkDesk({ lamp: alcove });
  const link = desk.open('sacn');
  await link.set(target(0.2, all), call());
  const wait = (seconds: number) => desk.runUntil(desk.clock.now() + seconds);
  wait(0.1);
  /** Whether the warm channel is at full, and not at 20 %. */
  const isFull = (): boolean => {
    wait(0.1);
    return desk.lamp.light(0, 8) > 0.9;
  };
  return { desk, link, wait, isFull };
}

test('a packet with an address waits for its synchronisation packet, and for no other', async () => {
  const { link, isFull } = await streaming();
  await sync(link, 700);
  await say(link, { slots: full, syncAddress: 700 });
  expect(isFull()).toBe(false);
  await sync(link, 701);
  expect(isFull()).toBe(false);
  await sync(link, 700);
  expect(isFull()).toBe(true);
});

test('a synchronisation packet hands nothing on where nothing waits for it', async () => {
  const { desk, link, wait } = await streaming();
  const before = desk.arrived.length;
  await sync(link, 700);
  wait(0.001);
  expect(desk.arrived.length).toBe(before);
});

test('the end of the last source is no loss of a signal where the line of the lamp has one', async () => {
  const losses = async (beside: boolean) => {
    const { desk, link, wait } = await streaming();
    if (beside) await desk.open('dmx').set(target(0.5, all), call());
    wait(0.1);
    await link.carry(false, call());
    wait(3);
    return desk.arrived.filter(({ input }) => 'event' in input && input.event === 'lost').length;
  };
  expect(await losses(true)).toBe(0);
  expect(await losses(false)).toBe(1);
});

test('before anybody has synchronised, a packet with an address acts at once', async () => {
  const { link, isFull } = await streaming();
  await say(link, { slots: full, syncAddress: 700 });
  expect(isFull()).toBe(true);
});

test.each([
  [2.4, true, false],
  [2.6, true, true],
  [2.6, false, false],
])(
  '%s s after the last synchronisation, with force %s, it acts: %s',
  async (pause, forceSync, acts) => {
    const { link, wait, isFull } = await streaming();
    await sync(link, 700);
    wait(pause);
    await say(link, { slots: full, syncAddress: 700, forceSync });
    expect(isFull()).toBe(acts);
  },
);

test('a stream announces its universe every 10 s, and not after its end', async () => {
  const sent: number[] = [];
  const { desk, link, wait } = await streaming();
  const outlet = link as unknown as { outlet: { send(datagram: Uint8Array): void } };
  const send = outlet.outlet.send.bind(outlet.outlet);
  outlet.outlet.send = (datagram) => {
    const packet = decodeExtended(datagram);
    if (packet?.is === 'discovery') sent.push(desk.clock.now(), ...packet.universes);
    send(datagram);
  };
  wait(25);
  expect(sent).toEqual([expect.closeTo(10.4, 1), 7, expect.closeTo(20.4, 1), 7]);
  await link.carry(false, call());
  wait(25);
  expect(sent.length).toBe(4);
});
