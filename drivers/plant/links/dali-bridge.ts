import { answerLine, type BridgeLines, frameIn } from '../../dali/bridge-lines.ts';
import type { DaliBus } from './dali-bus.ts';

/** A bridge between lines of text and a DALI bus: one line each way for every frame. */
export class DaliBridge {
  readonly lines: BridgeLines;
  readonly #bus: DaliBus;
  readonly #identity: string;
  /** One line after another, whoever asks. */
  #work: Promise<unknown> = Promise.resolve();

  constructor(bus: DaliBus, lines: BridgeLines, identity: string) {
    this.#bus = bus;
    this.lines = lines;
    this.#identity = identity;
  }

  /** Carries out a line in its turn; resolves with the line that answers it. */
  take(line: string, signal: AbortSignal): Promise<string> {
    const reply = this.#work.then(() => this.#carryOut(line, signal));
    this.#work = reply.catch(() => {});
    return reply;
  }

  async #carryOut(line: string, signal: AbortSignal): Promise<string> {
    const { lines } = this;
    if (line === lines.identify) return this.#identity;
    if (line === lines['power-on'] || line === lines['power-off']) {
      this.#bus.power(line === lines['power-on']);
      return lines.done;
    }
    const query = frameIn(lines.query, line);
    if (query) return answerLine(lines, await this.#bus.query(query, signal));
    const single = frameIn(lines.send, line);
    const pair = lines.twice === null ? null : frameIn(lines.twice, line);
    if (single) await this.#bus.send(single, signal);
    else if (pair) await this.#bus.sendTwice(pair, signal);
    else return `${lines.refused} expected a frame of two or three bytes in hexadecimal`;
    return lines.done;
  }
}
