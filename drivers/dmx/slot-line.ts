import type { Outlet } from '../transport/outlet.ts';

/** A DMX512 line out of an adapter; `sent` and `free` mean the end of the last slot. */
export interface SlotLine extends Outlet {
  /** A frame: break, mark, start code, slots. */
  frame(startCode: number, slots: Uint8Array): void;
  /** Bytes without a break, which are no frame. */
  bytes(bytes: Uint8Array): void;
}
