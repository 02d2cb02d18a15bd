import type {
  Call,
  Identity,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../harness/bench/ports.ts';
import { plainLine } from '../../harness/files/plain-text.ts';
import { readIdentity } from '../console/command-line.ts';
import { LinkBase, type LinkParts } from '../link-base.ts';
import type { OpenLinePort } from '../transport/line-port.ts';
import { LineSession, type Lines } from '../transport/line-session.ts';
import { type BridgeLines, type BridgeReply, frameLine, readBridgeLine } from './bridge-lines.ts';
import { commandFrame, type DaliAddress, longFrames } from './frame.ts';
import { fadeTimeCode } from './levels.ts';
import { needsTwice, opcode } from './opcodes.ts';
import { TargetFrames } from './target-frames.ts';

export interface DaliLinkParts extends LinkParts {
  readonly shortAddress: number;
  readonly lines: BridgeLines;
  readonly open: OpenLinePort;
}

/**
 * A DALI bus behind a bridge that keeps the bus's timing. Levels go as the nearest arc power level, mixes as primaries
 * of colour control gear (IEC 62386-209), fades as the fade time code whose time is the wanted one.
 */
export class DaliLampLink extends LinkBase<'dali'> implements LampLink {
  readonly #lines: BridgeLines;
  readonly #address: DaliAddress;
  readonly #session: LineSession;
  readonly #target: TargetFrames;

  constructor(parts: DaliLinkParts) {
    super(parts, 'dali');
    this.#lines = parts.lines;
    this.#address = { to: 'short', address: parts.shortAddress };
    this.#session = new LineSession(parts.name, parts.clock, parts.open);
    this.#target = new TargetFrames(parts.lamp, this.#address);
  }

  /** The bridge's identity: the bus itself says little. */
  identify(call: Call): Promise<Identity> {
    return this.#use(call, async (lines) => {
      await lines.send(this.#lines.identify);
      return readIdentity(plainLine(await lines.answer()));
    });
  }

  set(target: LampTarget, call: Call): Promise<void> {
    return this.#go(target, 0, call);
  }

  async fade(target: LampTarget, over: number, call: Call): Promise<void> {
    const code = fadeTimeCode(over);
    if (code === null)
      throw this.error(
        'unsupported',
        `it has no fade of ${over} s, only 0 and 0.5 x sqrt(2^n) s (0.71, 1, 1.41, 2, 2.83, 4 … 90.5 s); choose one of these`,
      );
    await this.#go(target, code, call);
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    this.checkOwn(message);
    const { frame, twice = false, answer = false } = message;
    // What a raw frame leaves in the gear is unknown here.
    this.#target.forget();
    return this.#use(call, async (lines) => {
      if (twice && !answer) await this.#twice(lines, frame);
      else if (twice || !answer) await this.#send(lines, frame);
      if (!answer) return null;
      const byte = await this.#ask(lines, frame);
      return byte === null ? null : { byte };
    });
  }

  override carry(on: boolean, call: Call): Promise<void> {
    const line = this.#lines[on ? 'power-on' : 'power-off'];
    if (line === null)
      return Promise.reject(
        this.error('unsupported', 'its bridge cannot switch the power of the bus'),
      );
    return this.#use(call, (lines) => this.#done(lines, line));
  }

  /** A bridge sends whole frames only: these have 24 bits, and control gear takes 16 (IEC 62386-102). */
  noise(bytes: Uint8Array, call: Call): Promise<void> {
    return this.#use(call, async (lines) => {
      for (const frame of longFrames(bytes)) await this.#send(lines, frame);
    });
  }

  override async reset(call: Call): Promise<void> {
    await super.reset(call);
    this.#target.forget();
  }

  forget(): void {
    this.#target.forget();
  }

  /** Confirmed by the gear itself: actual level 0. */
  safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    return this.#use(call, async (lines) => {
      await this.#send(lines, commandFrame(this.#address, opcode.off));
      const level = await this.#ask(lines, commandFrame(this.#address, opcode.queryActualLevel));
      return { confirmed: level === 0 };
    });
  }

  get exchange(): number {
    return this.#session.exchange;
  }

  protected release(): Promise<void> {
    return this.#session.close();
  }

  async #go(target: LampTarget, fadeCode: number, call: Call): Promise<void> {
    const frames = this.#target.to(target, fadeCode);
    if ('impossible' in frames) throw this.error('unsupported', frames.impossible);
    await this.#use(call, async (lines) => {
      for (const frame of frames) {
        const isCommand = frame[0] < 0xa0 && (frame[0] & 1) === 1;
        if (isCommand && needsTwice(frame[1])) await this.#twice(lines, frame);
        else await this.#send(lines, frame);
      }
    });
  }

  #send(lines: Lines, frame: readonly number[]): Promise<void> {
    return this.#done(lines, frameLine(this.#lines.send, frame));
  }

  async #twice(lines: Lines, frame: readonly number[]): Promise<void> {
    const { twice, send } = this.#lines;
    if (twice !== null) return this.#done(lines, frameLine(twice, frame));
    await this.#done(lines, frameLine(send, frame));
    await this.#done(lines, frameLine(send, frame));
  }

  async #done(lines: Lines, line: string): Promise<void> {
    const reply = await this.#reply(lines, line);
    if (reply.is !== 'done')
      throw this.error('garbled', `expected "${this.#lines.done}" after "${line}"`);
  }

  /** The backward frame, or null for silence. Several that collide count as "at least one yes". */
  async #ask(lines: Lines, frame: readonly number[]): Promise<number | null> {
    const line = frameLine(this.#lines.query, frame);
    const reply = await this.#reply(lines, line);
    if (reply.is === 'answer') return reply.byte;
    if (reply.is === 'silence') return null;
    if (reply.is === 'collision') return 0xff;
    throw this.error('garbled', `expected an answer or silence after "${line}"`);
  }

  /** The line that answers; lines that say something else (the bridge reports other traffic) are passed over. */
  async #reply(lines: Lines, line: string): Promise<BridgeReply> {
    await lines.send(line);
    for (;;) {
      const reply = readBridgeLine(this.#lines, await lines.answer());
      if (reply.is === 'refused')
        throw this.error(
          'refused',
          `its bridge answered "${plainLine(reply.reason)}" to "${line}"`,
        );
      if (reply.is !== 'other') return reply;
    }
  }

  /** After a conversation that broke off, nobody knows what arrived. */
  async #use<T>(call: Call, work: (lines: Lines) => Promise<T>): Promise<T> {
    try {
      return await this.within(call, (signal) => this.#session.use(signal, work));
    } catch (error) {
      this.#target.forget();
      throw error;
    }
  }
}
