import { createSocket } from 'node:dgram';
import { Receiver } from 'sacn';
import { afterEach, describe, expect, it } from 'vitest';
import { RealClock } from '../../../drivers/real-clock.ts';
import { decodeExtended } from '../../../drivers/sacn/extended-packet.ts';
import { decodeSacn, type SacnPacket } from '../../../drivers/sacn/packet.ts';
import { sacnDriver } from '../../../drivers/sacn/sacn-driver.ts';
import type { Call, LampLink } from '../../../harness/bench/ports.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';

const call = (): Call => ({ signal: new AbortController().signal, deadline: 5 });
const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
const universe = lamp.links.sacn!.universe;

const ends: (() => Promise<unknown> | unknown)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0)) await end();
});

async function open(settings: Record<string, unknown>, rig = emulatedRig): Promise<LampLink> {
  const context = { rig, lamp, clock: new RealClock(), folder: '.' };
  const instrument = instrumentOf(sacnDriver, settings, { name: 'sacn', deadline: 5 });
  const link = (await sacnDriver.open(instrument, context)) as LampLink;
  ends.push(() => link.close());
  return link;
}

/** A real UDP socket that keeps every packet. */
async function listen(): Promise<{ port: number; packets: SacnPacket[]; others: Buffer[] }> {
  const socket = createSocket('udp4');
  const packets: SacnPacket[] = [];
  const others: Buffer[] = [];
  socket.on('message', (bytes) => {
    const packet = decodeSacn(bytes);
    if ('discard' in packet) others.push(bytes);
    else packets.push(packet);
  });
  await new Promise<void>((resolve) => socket.bind(0, '127.0.0.1', resolve));
  ends.push(() => socket.close());
  return { port: socket.address().port, packets, others };
}

async function until(what: () => boolean): Promise<void> {
  while (!what()) await new Promise((resolve) => setTimeout(resolve, 10));
}

describe('the sACN link on a network', () => {
  it('lets a source of a name have its own id and numbers, whatever its priority', async () => {
    const { port, packets, others } = await listen();
    const link = await open({ to: `127.0.0.1:${port}` });
    const send = (more: object) =>
      link.send({ link: 'sacn', startCode: 0, slots: [1], ...more }, call());
    await send({ source: 'a', priority: 50 });
    await send({ source: 'b' });
    await send({ source: 'a', priority: 150, universe: 9 });
    await send({ source: 'a', fields: { 'root-vector': 5 } });
    await send({ slots: [], datagram: [1, 2, 3] });
    await until(() => packets.length + others.length >= 5);
    expect(packets.map((own) => [own.priority, own.sequence, own.universe])).toEqual([
      [50, 0, universe],
      [100, 0, universe],
      [150, 1, 9],
    ]);
    const [first, second, third] = packets.map(({ cid }) => Buffer.from(cid).toString('hex'));
    expect(third).toBe(first);
    expect(second).not.toBe(first);
    expect(others.map(({ length }) => length)).toEqual([127, 3]);
  });

  it('sends a change three times, then keeps the stream alive, numbers running on', async () => {
    const { port, packets } = await listen();
    const link = await open({ to: `127.0.0.1:${port}` });
    await link.set({ level: 1, intensities }, call());
    await until(() => packets.length >= 4);
    const slots = Buffer.alloc(14, 255);
    for (const packet of packets.slice(0, 4)) {
      expect(Buffer.from(packet.slots).equals(slots)).toBe(true);
      expect(packet).toMatchObject({ universe, priority: 100, preview: false, terminated: false });
    }
    expect(packets.slice(0, 4).map(({ sequence }) => sequence)).toEqual([0, 1, 2, 3]);
  });

  it('puts noise on the port as it is', async () => {
    const { port, others } = await listen();
    const link = await open({ to: `127.0.0.1:${port}` });
    await link.noise(Uint8Array.of(9, 8, 7), call());
    await until(() => others.length > 0);
    expect(others.map((bytes) => [...bytes])).toEqual([[9, 8, 7]]);
  });

  it('says three times that the stream ends when it is closed', async () => {
    const { port, packets } = await listen();
    const link = await open({ to: `127.0.0.1:${port}` });
    await link.set({ level: 0, intensities }, call());
    await link.close();
    await until(() => packets.filter(({ terminated }) => terminated).length === 3);
    const before = packets.findIndex(({ terminated }) => terminated);
    expect(packets.slice(before).every(({ terminated }) => terminated)).toBe(true);
    await expect(link.set({ level: 1, intensities }, call())).rejects.toMatchObject({
      kind: 'closed',
    });
  });

  it('begins anew after the lamp lost its power: the old stream ends, then number 0', async () => {
    const { port, packets } = await listen();
    const link = await open({ to: `127.0.0.1:${port}` });
    await link.set({ level: 0.5, intensities }, call());
    await until(() => packets.length >= 3);
    link.forget?.();
    await link.set({ level: 1, intensities }, call());
    const isNew = ({ slots }: SacnPacket): boolean => slots[0] === 255;
    await until(() => packets.some(isNew));
    const told = packets.slice(packets.findIndex(({ terminated }) => terminated));
    expect(told.slice(0, 4).map(({ terminated }) => terminated)).toEqual([true, true, true, false]);
    expect(told[3]).toMatchObject({ sequence: 0 });
    expect(isNew(told[3]!)).toBe(true);
  });

  it('has one CID for its life, and another on another rig', async () => {
    const { port, packets } = await listen();
    for (const rig of [emulatedRig, emulatedRig, { ...emulatedRig, rig: 'bench-2' }]) {
      const link = await open({ to: `127.0.0.1:${port}` }, rig);
      const before = packets.length;
      await link.set({ level: 1, intensities }, call());
      await until(() => packets.length > before);
      await link.close();
    }
    const senders = new Set(packets.map(({ cid }) => Buffer.from(cid).toString('hex')));
    expect(senders.size).toBe(2);
  });

  it('joins as a second source where a message has a priority of its own', async () => {
    const { port, packets } = await listen();
    const link = await open({ to: `127.0.0.1:${port}` });
    await link.set({ level: 1, intensities }, call());
    const other = { link: 'sacn', startCode: 0, slots: [1, 2], priority: 150 } as const;
    await link.send(other, call());
    await link.send({ ...other, preview: true }, call());
    await until(() => packets.filter(({ priority }) => priority === 150).length === 2);
    const second = packets.filter(({ priority }) => priority === 150);
    expect(second.map(({ preview }) => preview)).toEqual([false, true]);
    expect(second.map(({ sequence }) => sequence)).toEqual([0, 1]);
    const first = packets.find(({ priority }) => priority === 100)!;
    expect(Buffer.from(first.cid).equals(second[0]!.cid)).toBe(false);
  });

  it('fades frame by frame', async () => {
    const { port, packets } = await listen();
    const link = await open({ to: `127.0.0.1:${port}` });
    await link.set({ level: 0.001, intensities }, call());
    await link.fade({ level: 1, intensities }, 0.5, call());
    const level = ({ slots }: SacnPacket): number => slots[0]! * 256 + slots[1]!;
    await until(() => packets.some((packet) => level(packet) === 65_535));
    const levels = packets.map(level);
    expect(levels.every((value, at) => at === 0 || value >= levels[at - 1]!)).toBe(true);
    expect(new Set(levels).size).toBeGreaterThan(5);
  });

  it('is understood by an independent receiver over multicast (npm sacn)', async () => {
    const receiver = new Receiver({ universes: [universe], iface: '127.0.0.1', reuseAddr: true });
    ends.push(() => new Promise<void>((resolve) => receiver.close(resolve)));
    const heard = new Promise<{ priority: number; sourceName: string; payload: object }>(
      (resolve, reject) => {
        receiver.on('packet', resolve);
        receiver.on('PacketCorruption', reject);
        receiver.on('error', reject);
      },
    );
    const link = await open({ to: 'multicast', interface: '127.0.0.1', priority: 120 });
    await link.set({ level: 1, intensities }, call());
    const packet = await heard;
    expect(packet).toMatchObject({ universe, priority: 120, sourceName: 'Evenfall sacn' });
    // That receiver gives slots in per cent.
    expect(Object.values(packet.payload)).toEqual(Array.from({ length: 14 }, () => 100));
  });
});

describe('synchronisation and discovery', () => {
  it('reach a receiver byte by byte, numbers of each address counted apart', async () => {
    const { port, packets, others } = await listen();
    const link = await open({ to: `127.0.0.1:${port}` });
    const sync = (syncAddress: number) =>
      link.send({ link: 'sacn', startCode: 0, slots: [], packet: 'sync', syncAddress }, call());
    await sync(700);
    await sync(701);
    await sync(700);
    const wait = { syncAddress: 700, forceSync: true, priority: 150 };
    await link.send({ link: 'sacn', startCode: 0, slots: [1, 2], ...wait }, call());
    const list = { packet: 'discovery', universes: [9, 7] } as const;
    await link.send({ link: 'sacn', startCode: 0, slots: [], ...list }, call());
    await until(() => others.length >= 4 && packets.length >= 1);
    expect(packets[0]).toMatchObject({ syncAddress: 700, forceSync: true, priority: 150 });
    expect(others.map((bytes) => decodeExtended(bytes))).toMatchObject([
      { is: 'sync', syncAddress: 700, sequence: 0 },
      { is: 'sync', syncAddress: 701, sequence: 0 },
      { is: 'sync', syncAddress: 700, sequence: 1 },
      { is: 'discovery', universes: [7, 9], page: 0, lastPage: 0 },
    ]);
    expect(others[0]?.length).toBe(49);
  });
});
