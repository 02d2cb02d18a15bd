import type { Departure } from '../../harness/bench/ports.ts';
import type { Outlet } from '../transport/outlet.ts';

/** A DMX512 line out of an adapter; `sent` and `free` mean the end of the last slot. */
export interface SlotLine extends Outlet {
  /** A frame: break, mark, start code, slots. `left` is told when its last slot has left. */
  frame(startCode: number, slots: Uint8Array, left?: (departure: Departure) => void): void;
  /** Bytes without a break, which are no frame. */
  bytes(bytes: Uint8Array): void;
  /**
   * A frame whose START code is the first byte, and then what comes back on the line, without an echo: one whole message of RDM, or,
   * with `all`, everything within its time. Empty where nothing does.
   */
  talk(message: Uint8Array, all: boolean, signal: AbortSignal): Promise<Uint8Array>;
}
