/** What of a build may be called, by the number that the heartbeat gives it. */
const entries = [
  'the start of the program',
  'lamp_init()',
  'lamp_main()',
  'lamp_tick()',
  'lamp_receive_console()',
  'lamp_receive_dali()',
  'lamp_dali_bus()',
  'lamp_receive_dmx_break()',
  'lamp_receive_dmx()',
  'lamp_dmx_lost()',
  'lamp_receive_datagram()',
  'lamp_power_fail()',
  'lamp_framing_error()',
] as const;

export type HeartbeatEntry = (typeof entries)[number];

/** Bytes that are shared with whoever watches. */
export const heartbeatBytes = 12;

const word = { inside: 0, calls: 1, entry: 2 } as const;

/**
 * Tells another thread whether this one is inside the firmware. Word 0: 1 while firmware is being called; word 1: how
 * many calls there were; word 2: what is called. The owner of the thread ends it when word 0 stays 1 and word 1 stands
 * still for a second.
 */
export class Heartbeat {
  readonly #words: Int32Array;

  /** Without `shared` nobody watches. */
  constructor(shared?: SharedArrayBuffer) {
    this.#words = new Int32Array(shared ?? new ArrayBuffer(heartbeatBytes));
  }

  /** Calls into the firmware. */
  around<T>(entry: HeartbeatEntry, call: () => T): T {
    const words = this.#words;
    Atomics.store(words, word.entry, entries.indexOf(entry));
    Atomics.add(words, word.calls, 1);
    Atomics.store(words, word.inside, 1);
    try {
      return call();
    } finally {
      Atomics.store(words, word.inside, 0);
    }
  }
}

/** The call that firmware is in: how many there were, and of what; null where it is in none. */
export function callOf(
  shared: SharedArrayBuffer,
): { number: number; entry: HeartbeatEntry } | null {
  const words = new Int32Array(shared);
  if (Atomics.load(words, word.inside) !== 1) return null;
  const entry = entries[Atomics.load(words, word.entry)] ?? entries[0];
  return { number: Atomics.load(words, word.calls), entry };
}
