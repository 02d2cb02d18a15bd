import { answerLine, type BridgeLines, frameIn } from '../../dali/bridge-lines.ts';
import type { BackwardFrame, DaliBus } from './dali-bus.ts';

/** A bridge between lines of text and a DALI bus: one line each way for every frame. */
export class DaliBridge {
  readonly lines: BridgeLines;
  /** It looks for frames that spoil one another (IEC 62386-101: a framing error). */
  seesCollisions = true;
  set cut(cut: boolean) {
    this.#bus.cut = cut;
  }

  /** The next backward frame is disturbed. */
  garbles = false;
  /** It reports an answer where none came. */
  makesUp = false;
  /** Bits of each backward frame that it turns. */
  turns = 0;
  /** From end to end of the frames of a pair, s, where the bridge is slower than it could be. */
  apart = 0;
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
    if (query) return this.#answer(await this.#bus.query(query, signal));
    const single = frameIn(lines.send, line);
    const pair = lines.twice === null ? null : frameIn(lines.twice, line);
    if (single) await this.#bus.send(single, signal);
    else if (pair) await this.#bus.sendTwice(pair, signal, this.apart);
    else return `${lines.refused} expected a frame of two or three bytes in hexadecimal`;
    return lines.done;
  }

  /** Where one frame is low the bus is: a bridge that does not look for that takes what is left for one frame. */
  #answer(frame: BackwardFrame): string {
    const { collision } = this.lines;
    if (frame === null && this.makesUp) return answerLine(this.lines, 0xff);
    if (this.garbles && frame !== null && collision !== null) return collision;
    if (frame === null) return answerLine(this.lines, frame);
    if (typeof frame === 'number') return answerLine(this.lines, frame ^ this.turns);
    if (collision !== null && this.seesCollisions) return collision;
    return answerLine(
      this.lines,
      frame.collided.reduce((all, byte) => all & byte),
    );
  }
}
