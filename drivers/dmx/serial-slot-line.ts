import { type FrameTiming, slotTime } from '../../harness/bench/dmx-timing.ts';
import type { Departure } from '../../harness/bench/ports.ts';
import type { DriverClock } from '../driver-clock.ts';
import { sleep } from '../real-clock.ts';
import { SendQueue } from '../transport/send-queue.ts';
import type { SerialLine } from '../transport/serial-byte-port.ts';
import { lengthOfRdm, rdmStartCode } from './rdm/rdm-packet.ts';
import type { SlotFrame, SlotLine } from './slot-line.ts';

/** ms that a timer may be late; the rest is waited out in turns of the event loop. */
const timerStep = 1.5;

/** How a break is made: by the port's control line, or by a zero byte at a lower rate. */
export type BreakMethod = 'line' | 'baud-rate';

export const dmxBaud = 250_000;
/**
 * At 83 333 baud, 8N2, a zero byte is 108 µs low (start and eight bits) and 24 µs high: a break and a mark (computed;
 * ANSI E1.11 wants at least 92 µs and 12 µs). A rate that is not of the standard ones: changing to one of those may
 * throw bytes away that were not sent yet.
 */
const breakBaud = 83_333;
/** Converters hold some bytes when the system believes them sent (from memory); seconds to wait for them. */
const converterTime = 2e-3;
/** Legal from 92 µs up to 1 s (ANSI E1.11). Measured, since a timer counts from when its loop last looked at the clock. */
const leastBreak = 0.5e-3;
/** Legal from 12 µs up to 1 s (ANSI E1.11). */
const leastMark = 40e-6;

/** A DMX512 line from a serial port with an RS-485 adapter. */
export class SerialSlotLine extends SendQueue<SerialLine> implements SlotLine {
  readonly #method: BreakMethod;
  readonly #ear: Ear;

  constructor(
    open: (signal: AbortSignal) => Promise<SerialLine>,
    method: BreakMethod,
    clock: DriverClock,
  ) {
    const ear = new Ear();
    super(async (signal) => {
      const line = await open(signal);
      line.listen({ data: (bytes) => ear.take(bytes), gone: () => {} });
      return line;
    }, clock);
    this.#ear = ear;
    this.#method = method;
  }

  talk(message: Uint8Array, all: boolean): Promise<Uint8Array> {
    return new Promise((resolve, reject) => {
      this.put(async (line) => {
        await sendBreak(line, this.#method);
        const heard = this.#ear.hear(message, all);
        await sendBytes(line, message);
        resolve(await heard);
      });
      this.sent().catch(reject);
    });
  }

  /** A timer makes them, which may be late: what is asked for is the least. */
  cannot(timing: Partial<FrameTiming>): string | null {
    const { break: low = leastBreak, mark = leastMark } = timing;
    const asked = timing.break !== undefined || timing.mark !== undefined;
    if (!asked) return null;
    if (this.#method === 'baud-rate')
      return 'its adapter makes breaks by a slow zero byte, which has the length that it has';
    if (low >= leastBreak && mark >= leastMark) return null;
    return `its adapter makes breaks of ${leastBreak * 1e6} µs and marks of ${leastMark * 1e6} µs at least`;
  }

  frame({ startCode, slots, timing }: SlotFrame, left?: (departure: Departure) => void): void {
    this.put(async (line) => {
      await sendBreak(line, this.#method, timing);
      await sendBytes(line, Uint8Array.of(startCode, ...slots));
    }, left);
  }

  bytes(bytes: Uint8Array): void {
    this.put((line) => sendBytes(line, bytes));
  }
}

async function sendBreak(
  line: SerialLine,
  method: BreakMethod,
  { break: low = leastBreak, mark = leastMark }: Partial<FrameTiming> = {},
): Promise<void> {
  if (method === 'line') {
    await line.setBreak(true);
    await atLeast(low, performance.now());
    await line.setBreak(false);
    await atLeast(mark, performance.now());
  } else {
    await line.setBaud(breakBaud);
    await line.write(Uint8Array.of(0));
    await line.drain();
    await sleep(converterTime);
    await line.setBaud(dmxBaud);
  }
}

/** Resolves when the last byte has left: a port may say so too early, and is not waited for twice. */
async function sendBytes(line: SerialLine, bytes: Uint8Array): Promise<void> {
  const begun = performance.now();
  await line.write(bytes);
  await line.drain();
  await atLeast(bytes.length * slotTime + converterTime, begun);
}

/** Resolves when so many seconds have passed since `begun` (ms of the monotonic clock), and never before. */
async function atLeast(seconds: number, begun: number): Promise<void> {
  const end = begun + seconds * 1000;
  for (let left = end - performance.now(); left > 0; left = end - performance.now())
    if (left > timerStep) await sleep((left - timerStep) / 1000);
    else await new Promise((resolve) => setImmediate(resolve));
}

/**
 * Seconds that an answer may take: a responder begins within 2 ms (ANSI E1.20-2010 3.2, from memory), and converters keep bytes
 * back for up to 16 ms, more where the computer is busy.
 */
const hearingTime = 0.05;

/** What comes back on the line while somebody listens. */
class Ear {
  #heard: number[] = [];
  #sent: Uint8Array = new Uint8Array();
  #done: (() => void) | null = null;

  take(bytes: Uint8Array): void {
    this.#heard.push(...bytes);
    this.#done?.();
  }

  /** Resolves with the first whole message, or with everything after a while. */
  async hear(sent: Uint8Array, all: boolean): Promise<Uint8Array> {
    [this.#heard, this.#sent] = [[], sent];
    const begun = performance.now();
    const time = hearingTime + sent.length * slotTime + converterTime;
    await new Promise<void>((resolve) => {
      const timer = setTimeout(resolve, time * 1000);
      this.#done = () => {
        if (all || !isWhole(this.#answer)) return;
        clearTimeout(timer);
        resolve();
      };
    });
    this.#done = null;
    // The line is the other's until its answer is over.
    await atLeast(sent.length * slotTime, begun);
    return Uint8Array.from(this.#answer);
  }

  /** Adapters that listen while they send hear themselves first. */
  get #answer(): readonly number[] {
    const echo = this.#sent.every((byte, index) => this.#heard[index] === byte);
    return echo ? this.#heard.slice(this.#sent.length) : this.#heard;
  }
}

/** A message of RDM, with whatever a break reads as ahead of it. */
function isWhole(heard: readonly number[]): boolean {
  const at = heard.indexOf(rdmStartCode);
  const length = at < 0 ? null : lengthOfRdm(heard.slice(at));
  return length !== null && heard.length - at >= length;
}
