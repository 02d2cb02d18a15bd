import { createServer, type Server, type Socket } from 'node:net';
import type { BridgeLines } from '../../dali/bridge-lines.ts';
import {
  answerGap,
  backwardFrameTime,
  forwardFrameTime,
  gapPriority1,
  gapPriority2,
} from '../../dali/frame.ts';
import type { LivePlant } from './live-plant.ts';
import { listenOnLoopback } from './loopback.ts';
import type { Troubles } from './trouble.ts';
import { replyTroubles, sendReply } from './troubled-reply.ts';

const identity = 'Evenfall, emulated DALI bridge, EM-0004, 1';

/** A bridge between a TCP port and the lamp's DALI bus; one line each way for every frame. */
export class DaliBridge {
  readonly #name: string;
  readonly #lines: BridgeLines;
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  readonly #server: Server;
  readonly #sockets = new Set<Socket>();
  /** One frame after another, whoever asks. */
  #work: Promise<void> = Promise.resolve();
  /** Instant at which the next frame may start, s. */
  #free = 0;
  #answer: number | null = null;
  #messages = 0;

  constructor(name: string, lines: BridgeLines, live: LivePlant, troubles: Troubles) {
    this.#name = name;
    this.#lines = lines;
    this.#live = live;
    this.#troubles = troubles;
    this.#server = createServer((socket) => this.#serve(socket));
    live.port.listen((link, byte) => {
      if (link === 'dali') this.#answer = byte;
    });
  }

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
    socket.on('data', (bytes) => {
      const lines = (received + bytes.toString('latin1')).split(/[\r\n]+/);
      received = lines.pop()!.slice(0, 256);
      for (const line of lines) {
        if (line.trim() === '') continue;
        this.#work = this.#work.then(() => this.#take(line.trim(), socket)).catch(() => {});
      }
    });
  }

  async #take(line: string, socket: Socket): Promise<void> {
    const trouble = this.#troubles.strike(this.#name, ['reset', 'vanish']);
    if (trouble?.kind === 'reset') socket.resetAndDestroy();
    if (trouble?.kind === 'vanish') void this.close();
    if (socket.destroyed) return;
    const reply = Buffer.from(`${await this.#carryOut(line)}\n`);
    void sendReply(socket, reply, this.#troubles.strike(this.#name, replyTroubles));
  }

  async #carryOut(line: string): Promise<string> {
    const lines = this.#lines;
    if (line === lines.identify) {
      const other = this.#troubles.strike(this.#name, ['identity']) !== null;
      return other ? 'Evenfall, somebody else, EM-0000, 9' : identity;
    }
    if (line === lines['power-on'] || line === lines['power-off']) {
      await this.#live.catchUp();
      const { port } = this.#live;
      const powered = line === lines['power-on'];
      port.deliver(port.time.now(), { link: 'dali', event: 'bus', powered });
      return lines.done;
    }
    const send = frameIn(lines.send, line);
    const query = frameIn(lines.query, line);
    const twice = lines.twice === null ? null : frameIn(lines.twice, line);
    const frame = send ?? query ?? twice;
    if (!frame) return `${lines.refused} a frame of two or three bytes in hexadecimal expected`;
    await this.#transmit(frame, gapPriority2);
    if (twice) await this.#transmit(frame, gapPriority1);
    return query ? this.#listen() : lines.done;
  }

  /** Resolves when the frame is over. */
  async #transmit(frame: readonly number[], gap: number): Promise<void> {
    await this.#live.catchUp();
    const { port, model } = this.#live;
    const index = this.#messages++;
    const start = Math.max(port.time.now(), this.#free);
    const end = start + (frame.length === 2 ? forwardFrameTime : (3 + 8 * frame.length) / 1200);
    this.#free = end + gap;
    this.#answer = null;
    if (!model.links.loses(index, 'dali'))
      port.deliver(
        end + model.links.latency(index, 'dali'),
        { link: 'dali', frame: [...frame] },
        true,
      );
    await this.#until(end);
  }

  async #listen(): Promise<string> {
    const end = this.#live.port.time.now() + answerGap + backwardFrameTime;
    await this.#until(end);
    this.#free = Math.max(this.#free, end + gapPriority1);
    if (this.#answer === null) return this.#lines.silence;
    return this.#lines.answer.replace('{byte}', this.#answer.toString(16).padStart(2, '0'));
  }

  #until(instant: number): Promise<void> {
    return this.#live.port.time.waitUntil(instant, new AbortController().signal);
  }
}

/** The bytes of a line that follows `template`, or null. */
function frameIn(template: string, line: string): number[] | null {
  const [before = '', after = ''] = template.split('{frame}');
  if (!line.startsWith(before) || !line.endsWith(after)) return null;
  const hex = line.slice(before.length, line.length - after.length);
  if (!/^([0-9a-f]{4}|[0-9a-f]{6})$/i.test(hex)) return null;
  return [...Buffer.from(hex, 'hex')];
}
