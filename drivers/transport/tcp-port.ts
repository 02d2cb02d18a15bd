import { connect, type Socket } from 'node:net';
import type { ByteListener, BytePort } from './byte-port.ts';

/** Opens a TCP connection; rejects when it is refused or the signal aborts. */
export function openTcpPort(host: string, port: number, signal: AbortSignal): Promise<BytePort> {
  return new Promise((resolve, reject) => {
    const socket = connect({ host, port, noDelay: true });
    const fail = (error: Error): void => {
      signal.removeEventListener('abort', abort);
      socket.destroy();
      reject(error);
    };
    const abort = (): void => fail(new Error('connecting was cancelled'));
    socket.once('error', fail);
    signal.addEventListener('abort', abort, { once: true });
    socket.once('connect', () => {
      signal.removeEventListener('abort', abort);
      socket.removeListener('error', fail);
      resolve(new TcpPort(`tcp://${host}:${port}`, socket));
    });
    if (signal.aborted) abort();
  });
}

class TcpPort implements BytePort {
  readonly address: string;
  readonly #socket: Socket;
  #error: Error | null = null;

  constructor(address: string, socket: Socket) {
    this.address = address;
    this.#socket = socket;
    socket.on('error', (error) => (this.#error = error));
    // Half-closed is closed: an instrument that has stopped talking will not answer.
    socket.on('end', () => socket.destroy());
  }

  listen(listener: ByteListener): void {
    this.#socket.on('data', (bytes) => listener.data(bytes));
    const gone = (): void =>
      listener.gone(this.#error ?? new Error(`the connection to ${this.address} was closed`));
    if (this.#socket.destroyed) queueMicrotask(gone);
    else this.#socket.once('close', gone);
  }

  write(bytes: Uint8Array): Promise<void> {
    return new Promise((resolve, reject) => {
      this.#socket.write(bytes, (error) => (error ? reject(error) : resolve()));
    });
  }

  close(): Promise<void> {
    this.#socket.destroy();
    return Promise.resolve();
  }
}
