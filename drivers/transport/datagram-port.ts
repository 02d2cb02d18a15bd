import type { Outlet } from './outlet.ts';

/** A way out for datagrams to one universe, or another where it is named; always `free`. `sent` means handed to the network. */
export interface DatagramPort extends Outlet {
  send(datagram: Uint8Array, universe?: number): void;
}
