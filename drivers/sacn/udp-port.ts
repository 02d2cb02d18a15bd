import { createSocket, type Socket } from 'node:dgram';
import type { Departure } from '../../harness/bench/ports.ts';
import type { DriverClock } from '../driver-clock.ts';
import type { DatagramPort } from '../transport/datagram-port.ts';
import { SendQueue } from '../transport/send-queue.ts';
import { multicastGroup, sacnPort } from './packet.ts';

/** Where packets go. */
export type SacnDestination =
  | { readonly kind: 'multicast' }
  | { readonly kind: 'unicast'; readonly host: string; readonly port: number };

/** `multicast`, `host` or `host:port`. */
export function readDestination(text: string): SacnDestination | null {
  if (text === 'multicast') return { kind: 'multicast' };
  const [, host, port = sacnPort] = /^([^\s:/]+)(?::(\d{1,5}))?$/.exec(text) ?? [];
  if (host === undefined) return null;
  const number = Number(port);
  return number >= 1 && number <= 65535 ? { kind: 'unicast', host, port: number } : null;
}

/** Datagrams to one universe over UDP. `network`: address of the interface that multicast leaves by. */
export function openUdpPort(
  universe: number,
  to: SacnDestination,
  network: string | undefined,
  clock: DriverClock,
): DatagramPort {
  return new UdpPort(() => openSocket(universe, to, network), clock);
}

class UdpPort extends SendQueue<UniverseSocket> implements DatagramPort {
  send(datagram: Uint8Array, universe?: number, left?: (departure: Departure) => void): void {
    this.put((socket) => socket.send(datagram, universe), left);
  }

  override free(): Promise<void> {
    return Promise.resolve();
  }
}

/** A socket that sends to one universe, or, over multicast, to another one. */
interface UniverseSocket {
  send(datagram: Uint8Array, universe?: number): Promise<void>;
  close(): void;
}

async function openSocket(
  universe: number,
  to: SacnDestination,
  network: string | undefined,
): Promise<UniverseSocket> {
  const socket = createSocket({ type: 'udp4', reuseAddr: true });
  const [host, port] =
    to.kind === 'multicast' ? [multicastGroup(universe), sacnPort] : [to.host, to.port];
  await bound(socket, network, () => {
    if (to.kind === 'multicast' && network !== undefined) socket.setMulticastInterface(network);
  });
  return {
    send: (datagram, other) =>
      new Promise((resolve, reject) => {
        const group = to.kind === 'multicast' && other !== undefined ? multicastGroup(other) : host;
        socket.send(datagram, port, group, (error) => (error ? reject(error) : resolve()));
      }),
    close: () => socket.close(),
  };
}

function bound(socket: Socket, network: string | undefined, setUp: () => void): Promise<void> {
  return new Promise((resolve, reject) => {
    socket.once('error', reject);
    socket.bind(0, network, () => {
      try {
        setUp();
        socket.removeListener('error', reject);
        // Errors come with the send that they belong to.
        socket.on('error', () => {});
        resolve();
      } catch (error) {
        socket.close();
        reject(error);
      }
    });
  });
}
