import { createServer, type Server, type Socket } from 'node:net';
import type { LampConsole } from './lamp-console.ts';
import { listenOnLoopback } from './loopback.ts';

/** The lamp's console on a TCP port, as behind a serial server. */
export class ConsoleServer {
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();

  constructor(console: LampConsole) {
    this.#server = createServer((socket) => {
      this.#sockets.add(socket);
      socket.setNoDelay(true);
      socket.on('error', () => {}).on('close', () => this.#sockets.delete(socket));
      socket.on('data', console.plug(socket));
    });
  }

  listen(port: number): Promise<number> {
    return listenOnLoopback(this.#server, port);
  }

  close(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy();
    return new Promise((resolve) => this.#server.close(() => resolve()));
  }
}
