import { createServer, type Server, type Socket } from 'node:net';
import type { DaliBridge } from '../links/dali-bridge.ts';
import { Random } from '../random.ts';
import { Behind } from './behind.ts';
import type { LivePlant } from './live-plant.ts';
import { listenOnLoopback } from './loopback.ts';
import type { TroubleKind, Troubles } from './trouble.ts';
import { replyTroubles, sendReply } from './troubled-reply.ts';

const stranger = 'Evenfall, another bridge, EM-0000, 9';
/** Of all frames, where some are lost. */
const lostShare = 0.05;
/** Characters without an end of line that are kept. */
const longestRest = 256;

/** A bridge to the lamp's DALI bus on a TCP port. */
export class DaliBridgeServer {
  readonly #name: string;
  readonly #bridge: DaliBridge;
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();
  readonly #closing = new AbortController();
  #twin = false;
  readonly #random = new Random(1, 'frames');
  /** One line after another, whoever asks. */
  #work: Promise<void> = Promise.resolve();

  constructor(name: string, bridge: DaliBridge, live: LivePlant, troubles: Troubles) {
    this.#name = name;
    this.#bridge = bridge;
    this.#live = live;
    this.#troubles = troubles;
    this.#server = createServer((socket) => this.#serve(socket));
  }

  /** Another gear on the bus answers as well. */
  get twin(): boolean {
    return this.#twin;
  }

  listen(port: number): Promise<number> {
    return listenOnLoopback(this.#server, port);
  }

  close(): Promise<void> {
    this.#closing.abort('closed');
    for (const socket of this.#sockets) socket.destroy();
    return new Promise((resolve) => this.#server.close(() => resolve()));
  }

  #serve(socket: Socket): void {
    this.#sockets.add(socket);
    socket.setNoDelay(true);
    socket.on('error', () => {}).on('close', () => this.#sockets.delete(socket));
    let received = '';
    const behind = new Behind();
    socket.on('data', (bytes) => {
      const lines = (received + bytes.toString('latin1')).split(/[\r\n]+/);
      received = (lines.pop() ?? '').slice(0, longestRest);
      for (const line of lines) {
        if (line.trim() === '') continue;
        this.#work = this.#work.then(() => this.#take(line.trim(), socket, behind)).catch(() => {});
      }
    });
  }

  async #take(line: string, socket: Socket, behind: Behind): Promise<void> {
    const trouble = this.#troubles.strike(this.#name, ['reset', 'vanish']);
    if (trouble?.kind === 'reset') socket.resetAndDestroy();
    if (trouble?.kind === 'vanish') void this.close();
    if (socket.destroyed) return;
    await this.#live.catchUp();
    this.#spoil();
    const reply = Buffer.from(`${await this.#answer(line)}\n`);
    const shown = behind.take(reply, this.#troubles.strike(this.#name, ['behind']) !== null);
    if (shown) void sendReply(socket, shown, this.#troubles.strike(this.#name, replyTroubles));
  }

  /** Troubles of the bus, not of the answer. */
  #spoil(): void {
    const twin = this.#troubles.strike(this.#name, ['twin', 'twin-unseen']);
    this.#twin = twin !== null;
    this.#bridge.seesCollisions = twin?.kind !== 'twin-unseen';
    const chance = (kind: TroubleKind) =>
      this.#troubles.strike(this.#name, [kind]) !== null && this.#random.uniform() < lostShare;
    this.#bridge.cut = this.#troubles.strike(this.#name, ['cut']) !== null || chance('lost-frames');
    this.#bridge.garbles = chance('garbled-frames');
    this.#bridge.makesUp = this.#troubles.strike(this.#name, ['answers-made-up']) !== null;
    this.#bridge.turns = this.#troubles.strike(this.#name, ['turned-answers']) ? 0x10 : 0;
    this.#bridge.apart = this.#troubles.strike(this.#name, ['apart'])?.seconds ?? 0;
  }

  #answer(line: string): Promise<string> {
    const posing =
      line === this.#bridge.lines.identify &&
      this.#troubles.strike(this.#name, ['identity']) !== null;
    return posing ? Promise.resolve(stranger) : this.#bridge.take(line, this.#closing.signal);
  }
}
