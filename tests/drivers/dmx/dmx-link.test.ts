import { afterEach, describe, expect, it } from 'vitest';
import { dmxDriver } from '../../../drivers/dmx/dmx-driver.ts';
import { DmxLampLink } from '../../../drivers/dmx/dmx-link.ts';
import { type BreakMethod, SerialSlotLine } from '../../../drivers/dmx/serial-slot-line.ts';
import { PseudoTerminal } from '../../../drivers/plant/emulate/pseudo-terminal.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { SentLog } from '../../../drivers/sent-log.ts';
import type { SerialLine } from '../../../drivers/transport/serial-byte-port.ts';
import type { Call, LampLink } from '../../../harness/bench/ports.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';
import { instrumentOf } from '../instrument-of.ts';

const call = (): Call => ({ signal: new AbortController().signal, deadline: 5 });
const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));

const ends: (() => Promise<unknown> | unknown)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0)) await end();
});

/** A line that writes down what is done to it: a break cannot be seen on a pseudo-terminal. */
function recorder(): { events: string[]; line: SerialLine } {
  const events: string[] = [];
  const line: SerialLine = {
    address: 'recorder',
    listen: () => {},
    write: async (bytes) => void events.push(`write ${Buffer.from(bytes).toString('hex')}`),
    drain: async () => void events.push('drain'),
    setBreak: async (on) => void events.push(on ? 'break' : 'mark'),
    setBaud: async (baud) => void events.push(`baud ${baud}`),
    close: async () => void events.push('close'),
  };
  return { events, line };
}

async function frameOf(method: BreakMethod): Promise<string[]> {
  const { events, line } = recorder();
  const slots = new SerialSlotLine(async () => line, method, new RealClock());
  await slots.ready(call().signal);
  slots.frame({ startCode: 0, slots: Uint8Array.of(1, 2) });
  await slots.sent();
  return events;
}

/** The event loop does not come round for so long, ms: what a busy computer does to timers. */
function hold(ms: number): void {
  const end = performance.now() + ms;
  while (performance.now() < end);
}

describe('the timing of a DMX512 line (ANSI E1.11)', () => {
  it('is what was asked for, or is refused with what the adapter can do', async () => {
    const { line } = recorder();
    const by = (method: BreakMethod) =>
      new SerialSlotLine(async () => line, method, new RealClock());
    expect(by('line').cannot({ break: 1e-3, mark: 1e-3 })).toBeNull();
    expect(by('line').cannot({ break: 92e-6 })).toMatch(/breaks of 500 µs and marks of 40 µs/);
    expect(by('line').cannot({ mark: 12e-6 })).toMatch(/at least/);
    expect(by('baud-rate').cannot({ break: 1e-3 })).toMatch(/slow zero byte/);
    expect(by('baud-rate').cannot({})).toBeNull();
  });

  it('has no break under 92 µs and no mark under 12 µs, also where the computer is busy', async () => {
    const breaks: number[] = [];
    const marks: number[] = [];
    let begun = 0;
    let ended = 0;
    const { line } = recorder();
    const timed: SerialLine = {
      ...line,
      setBreak: async (on) => {
        if (!on) breaks.push(performance.now() - begun);
        hold(1.5);
        if (on) begun = performance.now();
        else ended = performance.now();
      },
      write: async () => void marks.push(performance.now() - ended),
    };
    const slots = new SerialSlotLine(async () => timed, 'line', new RealClock());
    await slots.ready(call().signal);
    for (let frame = 0; frame < 100; frame++) {
      slots.frame({ startCode: 0, slots: Uint8Array.of(frame) });
      await slots.sent();
    }
    expect(breaks).toHaveLength(100);
    expect(Math.min(...breaks) * 1000).toBeGreaterThanOrEqual(92);
    expect(Math.min(...marks) * 1000).toBeGreaterThanOrEqual(12);
    expect(Math.max(...breaks)).toBeLessThan(1000);
  });

  it('sends 512 slots in the time that they take, and waits for them once', async () => {
    const { line } = recorder();
    // 513 slots of 44 µs.
    const port: SerialLine = {
      ...line,
      drain: () => new Promise((resolve) => setTimeout(resolve, 22.572)),
    };
    const slots = new SerialSlotLine(async () => port, 'line', new RealClock());
    await slots.ready(call().signal);
    let shortest = Number.POSITIVE_INFINITY;
    for (let frame = 0; frame < 20; frame++) {
      const begun = performance.now();
      slots.frame({ startCode: 0, slots: new Uint8Array(512) });
      await slots.sent();
      shortest = Math.min(shortest, performance.now() - begun);
    }
    expect(shortest).toBeGreaterThan(22.572);
    expect(shortest).toBeLessThan(33);
  });
});

describe('a DMX512 line', () => {
  it('breaks by the control line', async () => {
    expect(await frameOf('line')).toEqual(['break', 'mark', 'write 000102', 'drain']);
  });

  it('breaks by a zero at a lower rate, and never changes the rate before all is sent', async () => {
    expect(await frameOf('baud-rate')).toEqual([
      'baud 83333',
      'write 00',
      'drain',
      'baud 250000',
      'write 000102',
      'drain',
    ]);
  });

  it('repeats its frame, ends where it should, and starts with code 0', async () => {
    const { events, line } = recorder();
    const clock = new RealClock();
    const link = new DmxLampLink({
      ...{ name: 'dmx', driver: 'dmx', model: 'a recorder', lamp, clock },
      slots: lamp.links.dmx!,
      outlet: new SerialSlotLine(async () => line, 'line', clock),
    });
    ends.push(() => link.close());
    await link.set({ level: 1, intensities }, call());
    const frames = () => events.filter((event) => event.startsWith('write'));
    while (frames().length < 3) await new Promise((resolve) => setTimeout(resolve, 5));
    expect(new Set(frames())).toEqual(new Set([`write 00${'ff'.repeat(14)}`]));
    await link.carry(false, call());
    const count = frames().length;
    await new Promise((resolve) => setTimeout(resolve, 100));
    expect(frames()).toHaveLength(count);
    await link.send({ link: 'dmx', startCode: 0x17, slots: [9] }, call());
    expect(frames().at(-1)).toBe('write 1709');
    const before = events.length;
    await link.noise(Uint8Array.of(0, 5), call());
    expect(events.slice(before)).toEqual(['write 0005', 'drain']);
    expect(await link.safe(call())).toEqual({ confirmed: false });
    expect(frames().at(-1)).toMatch(/^write 000000/);
  });

  it('sends over a real serial port', async () => {
    let heard = Buffer.alloc(0);
    const terminal = new PseudoTerminal((bytes) => (heard = Buffer.concat([heard, bytes])));
    ends.push(() => terminal.close());
    const settings = { address: terminal.path, break: 'baud-rate' };
    const instrument = instrumentOf(dmxDriver, settings, { name: 'dmx', deadline: 5 });
    const [clock, log] = [new RealClock(), new SentLog()];
    const context = { rig: emulatedRig, lamp, clock, log, folder: '.' };
    const link = (await dmxDriver.open(instrument, context)) as LampLink;
    ends.unshift(() => link.close());
    const begun = clock.now();
    await link.set({ level: 1, intensities }, call());
    // It tells what has left, and when.
    const [told] = log.until(clock.now())?.heard ?? [];
    expect(told).toMatchObject({ kind: 'dmx', startCode: 0, slots: new Array(14).fill(255) });
    expect(told?.at).toBeGreaterThan(begun);
    expect(link.tells).toBe(true);
    while (heard.length < 16) await new Promise((resolve) => setTimeout(resolve, 5));
    // The break is a zero here, then the start code and the slots.
    expect(heard.subarray(0, 16).toString('hex')).toBe(`0000${'ff'.repeat(14)}`);
    terminal.close();
    const later = link.set({ level: 0.5, intensities }, call());
    await expect(later).rejects.toMatchObject({ kind: 'closed' });
  });
});
