import type { Outlet } from './outlet.ts';

/** A way out for datagrams to one place; always `free`. `sent` means handed to the network. */
export interface DatagramPort extends Outlet {
  send(datagram: Uint8Array): void;
}
