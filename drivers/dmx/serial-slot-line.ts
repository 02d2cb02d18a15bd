import type { DriverClock } from '../driver-clock.ts';
import { sleep } from '../real-clock.ts';
import { SendQueue } from '../transport/send-queue.ts';
import type { SerialLine } from '../transport/serial-byte-port.ts';
import type { SlotLine } from './slot-line.ts';
import { slotTime } from './slots.ts';

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

  constructor(
    open: (signal: AbortSignal) => Promise<SerialLine>,
    method: BreakMethod,
    clock: DriverClock,
  ) {
    super(open, clock);
    this.#method = method;
  }

  frame(startCode: number, slots: Uint8Array): void {
    this.put(async (line) => {
      await sendBreak(line, this.#method);
      await sendBytes(line, Uint8Array.of(startCode, ...slots));
    });
  }

  bytes(bytes: Uint8Array): void {
    this.put((line) => sendBytes(line, bytes));
  }
}

async function sendBreak(line: SerialLine, method: BreakMethod): Promise<void> {
  if (method === 'line') {
    await line.setBreak(true);
    await atLeast(leastBreak, performance.now());
    await line.setBreak(false);
    await atLeast(leastMark, performance.now());
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
