import type { Departure } from '../../harness/bench/ports.ts';
import type { Outlet } from './outlet.ts';

/** A way out for datagrams to one universe, or another where it is named; always `free`. `sent` means handed to the network. */
export interface DatagramPort extends Outlet {
  /** `left` is told when it has left; of the simulated network everybody is. */
  send(datagram: Uint8Array, universe?: number, left?: (departure: Departure) => void): void;
}
