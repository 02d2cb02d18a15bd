import { createServer, type Server, type Socket } from 'node:net';
import { setTimeout } from 'node:timers/promises';
import { Behind } from '../behind.ts';
import { listenOnLoopback } from '../loopback.ts';
import type { Troubles } from '../trouble.ts';
import { replyTroubles, sendReply } from '../troubled-reply.ts';
import type { ScpiInstrument } from './scpi-instrument.ts';

/** Longest program message; a longer one is dropped with error -363. */
const longestMessage = 65_536;
/** What another instrument would say. */
const stranger = 'Evenfall,somebody else,EM-0000,9';

/** A raw SCPI socket on the loopback interface; several clients may be connected, as on real instruments. */
export class ScpiServer {
  readonly #name: string;
  readonly #instrument: ScpiInstrument;
  readonly #troubles: Troubles;
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();

  constructor(name: string, instrument: ScpiInstrument, troubles: Troubles) {
    this.#name = name;
    this.#instrument = instrument;
    this.#troubles = troubles;
    this.#server = createServer((socket) => this.#serve(socket));
  }

  /** Resolves with the port. */
  listen(port: number): Promise<number> {
    return listenOnLoopback(this.#server, port);
  }

  close(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy();
    return new Promise((resolve) => this.#server.close(() => resolve()));
  }

  #serve(socket: Socket): void {
    this.#sockets.add(socket);
    socket.setNoDelay(true);
    socket.on('error', () => {}).on('close', () => this.#sockets.delete(socket));
    let received = '';
    const behind = new Behind();
    let work = Promise.resolve();
    socket.on('data', (bytes) => {
      received += bytes.toString('latin1');
      const lines = received.split('\n');
      received = lines.pop() ?? '';
      if (received.length > longestMessage) {
        received = '';
        this.#instrument.fail(-363);
      }
      for (const line of lines) {
        work = work
          .then(() => this.#take(line, socket, behind))
          .catch((error: Error) => this.#instrument.fail(-300, error.message));
      }
    });
  }

  async #take(line: string, socket: Socket, behind: Behind): Promise<void> {
    const heldUp = this.#troubles.strike(this.#name, ['held-up']);
    if (heldUp) await setTimeout(heldUp.seconds * 1000);
    if (socket.destroyed) return;
    const asks = line.includes('?');
    if (asks && (await this.#breakDown(socket))) return;
    const posing = /\*IDN\?/i.test(line) && this.#troubles.strike(this.#name, ['identity']);
    this.#instrument.posing = posing ? stranger : null;
    const answer = await this.#instrument.execute(line);
    if (answer === null) return;
    const trouble = this.#troubles.strike(this.#name, replyTroubles);
    const whole = Buffer.concat([answer, Buffer.from('\n')]);
    const shown = behind.take(whole, this.#troubles.strike(this.#name, ['behind']) !== null);
    if (shown) await sendReply(socket, shown, trouble);
  }

  /** Troubles that come instead of an answer; true where the connection is gone. */
  async #breakDown(socket: Socket): Promise<boolean> {
    const trouble = this.#troubles.strike(this.#name, ['reboot', 'reset', 'vanish']);
    if (trouble?.kind === 'reboot') await this.#instrument.restart();
    if (trouble?.kind === 'reset') socket.resetAndDestroy();
    if (trouble?.kind === 'vanish') void this.close();
    return socket.destroyed;
  }
}
