import type { FrameTiming } from '../../harness/bench/dmx-timing.ts';
import type { Departure } from '../../harness/bench/ports.ts';
import type { Outlet } from '../transport/outlet.ts';

/** What goes out behind one break. */
export interface SlotFrame {
  readonly startCode: number;
  readonly slots: Uint8Array;
  /** As the sender usually makes them where it is absent. */
  readonly timing?: Partial<FrameTiming> | undefined;
}

/** A DMX512 line out of an adapter; `sent` and `free` mean the end of the last slot. */
export interface SlotLine extends Outlet {
  /** A frame: break, mark, start code, slots. `left` is told when its last slot has left. */
  frame(frame: SlotFrame, left?: (departure: Departure) => void): void;
  /** Why it cannot make such a break or mark, in a clause; null where it can. */
  cannot(timing: Partial<FrameTiming>): string | null;
  /** Bytes without a break, which are no frame. */
  bytes(bytes: Uint8Array): void;
  /**
   * A frame whose START code is the first byte, and then what comes back on the line, without an echo: one whole message of RDM, or,
   * with `all`, everything within its time. Empty where nothing does.
   */
  talk(message: Uint8Array, all: boolean, signal: AbortSignal): Promise<Uint8Array>;
}
