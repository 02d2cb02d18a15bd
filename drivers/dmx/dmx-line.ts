import { sleep } from '../real-clock.ts';
import type { SerialLine } from '../transport/serial-byte-port.ts';
import { slotTime } from './slots.ts';

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
/** Legal up to 1 s; timers end it after a millisecond or two. */
const breakTime = 1e-3;

/** Sends one frame and resolves when its last slot has left. */
export async function sendFrame(
  line: Pick<SerialLine, 'write' | 'drain' | 'setBreak' | 'setBaud'>,
  bytes: Uint8Array,
  method: BreakMethod,
): Promise<void> {
  if (method === 'line') {
    await line.setBreak(true);
    await sleep(breakTime);
    await line.setBreak(false);
  } else {
    await line.setBaud(breakBaud);
    await line.write(Uint8Array.of(0));
    await line.drain();
    await sleep(converterTime);
    await line.setBaud(dmxBaud);
  }
  await sendSlots(line, bytes);
}

/** Sends bytes without a break and resolves when the last one has left. */
export async function sendSlots(
  line: Pick<SerialLine, 'write' | 'drain'>,
  bytes: Uint8Array,
): Promise<void> {
  await line.write(bytes);
  await line.drain();
  await sleep(bytes.length * slotTime);
}
