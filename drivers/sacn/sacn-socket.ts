import { createSocket, type Socket } from 'node:dgram';
import { multicastGroup, sacnPort } from './packet.ts';

/** Where packets go. */
export type SacnDestination =
  | { readonly kind: 'multicast' }
  | { readonly kind: 'unicast'; readonly host: string; readonly port: number };

/** `multicast`, `host` or `host:port`. */
export function readDestination(text: string): SacnDestination | null {
  if (text === 'multicast') return { kind: 'multicast' };
  const found = /^([^\s:/]+)(?::(\d{1,5}))?$/.exec(text);
  if (!found) return null;
  const port = Number(found[2] ?? sacnPort);
  return port >= 1 && port <= 65535 ? { kind: 'unicast', host: found[1]!, port } : null;
}

/** A UDP socket that sends to one universe. */
export class SacnSocket {
  readonly #socket: Socket;
  readonly #host: string;
  readonly #port: number;

  private constructor(socket: Socket, host: string, port: number) {
    this.#socket = socket;
    this.#host = host;
    this.#port = port;
  }

  static open(
    universe: number,
    to: SacnDestination,
    network: string | undefined,
  ): Promise<SacnSocket> {
    const socket = createSocket({ type: 'udp4', reuseAddr: true });
    const [host, port] =
      to.kind === 'multicast' ? [multicastGroup(universe), sacnPort] : [to.host, to.port];
    return new Promise((resolve, reject) => {
      socket.once('error', reject);
      socket.bind(0, network, () => {
        try {
          if (to.kind === 'multicast' && network !== undefined)
            socket.setMulticastInterface(network);
          socket.removeListener('error', reject);
          // Errors come with the send that they belong to.
          socket.on('error', () => {});
          resolve(new SacnSocket(socket, host, port));
        } catch (error) {
          socket.close();
          reject(error);
        }
      });
    });
  }

  send(packet: Uint8Array): Promise<void> {
    return new Promise((resolve, reject) => {
      this.#socket.send(packet, this.#port, this.#host, (error) =>
        error ? reject(error) : resolve(),
      );
    });
  }

  close(): void {
    this.#socket.close();
  }
}
