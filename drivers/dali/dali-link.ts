import { BenchError, type BenchErrorKind } from '../../harness/bench/errors.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
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
import type { BytePort } from '../transport/byte-port.ts';
import { type Lines, LineTalk } from '../transport/line-talk.ts';
import { type BridgeLines, type BridgeReply, frameLine, readBridgeLine } from './bridge-lines.ts';
import { commandFrame, type DaliAddress, longFrames } from './frame.ts';
import { fadeTimeCode } from './levels.ts';
import { needsTwice, opcode } from './opcodes.ts';
import { TargetFrames } from './target-frames.ts';

/** More without a line end is no bridge. */
const longestReply = 1024;

export interface DaliLinkParts {
  readonly name: string;
  readonly lamp: Lamp;
  readonly shortAddress: number;
  readonly lines: BridgeLines;
  readonly connect: (signal: AbortSignal) => Promise<BytePort>;
}

/**
 * A DALI bus behind a serial bridge that keeps the bus's timing. Levels go as the nearest arc power level, mixes as
 * primaries of colour control gear (IEC 62386-209), fades as the fade time code whose time is the wanted one.
 */
export class DaliLampLink implements LampLink {
  readonly kind = 'lamp-link';
  readonly driver = 'dali';
  readonly link = 'dali';
  readonly name: string;
  readonly #parts: DaliLinkParts;
  readonly #address: DaliAddress;
  readonly #talk: LineTalk;
  readonly #target: TargetFrames;

  constructor(parts: DaliLinkParts) {
    this.name = parts.name;
    this.#parts = parts;
    this.#address = { to: 'short', address: parts.shortAddress };
    this.#talk = new LineTalk(parts.name, longestReply, parts.connect);
    this.#target = new TargetFrames(parts.lamp, this.#address);
  }

  /** The bridge's identity: the bus itself says little. */
  async identify(call: Call): Promise<Identity> {
    return this.#use(call, async (lines) => {
      await lines.send(this.#parts.lines.identify);
      return readIdentity(plainLine((await lines.next()) ?? ''));
    });
  }

  set(target: LampTarget, call: Call): Promise<void> {
    return this.#go(target, 0, call);
  }

  async fade(target: LampTarget, over: number, call: Call): Promise<void> {
    const code = fadeTimeCode(over);
    if (code === null)
      throw this.#error(
        'unsupported',
        `a fade of ${over} s was asked for; DALI knows 0 and 0.5 x sqrt(2^n) s (0.71, 1, 1.41, 2, 2.83, 4 … 90.5 s), choose one of these`,
      );
    await this.#go(target, code, call);
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    if (message.link !== 'dali')
      throw this.#error(
        'unsupported',
        `a ${message.link} message was asked for; it carries frames`,
      );
    const { frame, twice = false, answer = false } = message;
    // What a raw frame leaves in the gear is unknown here.
    this.#target.forget();
    return this.#use(call, async (lines) => {
      if (twice) await this.#twice(lines, frame);
      else if (!answer) await this.#send(lines, frame);
      if (!answer) return null;
      const byte = await this.#ask(lines, frame);
      return byte === null ? null : { byte };
    });
  }

  carry(on: boolean, call: Call): Promise<void> {
    const line = this.#parts.lines[on ? 'power-on' : 'power-off'];
    if (line === null)
      return Promise.reject(
        this.#error('unsupported', 'its bridge cannot switch the power of the bus'),
      );
    return this.#use(call, (lines) => this.#done(lines, line));
  }

  /** A bridge sends whole frames only: these have 24 bits, and control gear takes 16 (IEC 62386-102). */
  noise(bytes: Uint8Array, call: Call): Promise<void> {
    return this.#use(call, async (lines) => {
      for (const frame of longFrames(bytes)) await this.#send(lines, frame);
    });
  }

  reset(): Promise<void> {
    return Promise.reject(
      this.#error('unsupported', 'DALI has no command that restarts a lamp; use its console'),
    );
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
    return this.#talk.exchange;
  }

  close(): Promise<void> {
    return this.#talk.close();
  }

  async #go(target: LampTarget, fadeCode: number, call: Call): Promise<void> {
    const frames = this.#target.to(target, fadeCode);
    if ('impossible' in frames) throw this.#error('unsupported', frames.impossible);
    await this.#use(call, async (lines) => {
      for (const frame of frames) {
        const isCommand = frame[0] < 0xa0 && (frame[0] & 1) === 1;
        if (isCommand && needsTwice(frame[1])) await this.#twice(lines, frame);
        else await this.#send(lines, frame);
      }
    });
  }

  #send(lines: Lines, frame: readonly number[]): Promise<void> {
    return this.#done(lines, frameLine(this.#parts.lines.send, frame));
  }

  async #twice(lines: Lines, frame: readonly number[]): Promise<void> {
    const { twice, send } = this.#parts.lines;
    if (twice !== null) return this.#done(lines, frameLine(twice, frame));
    await this.#done(lines, frameLine(send, frame));
    await this.#done(lines, frameLine(send, frame));
  }

  async #done(lines: Lines, line: string): Promise<void> {
    const reply = await this.#reply(lines, line);
    if (reply.is !== 'done')
      throw this.#error('garbled', `"${this.#parts.lines.done}" was expected after "${line}"`);
  }

  /** The backward frame, or null for silence. Several that collide count as "at least one yes". */
  async #ask(lines: Lines, frame: readonly number[]): Promise<number | null> {
    const line = frameLine(this.#parts.lines.query, frame);
    const reply = await this.#reply(lines, line);
    if (reply.is === 'answer') return reply.byte;
    if (reply.is === 'silence') return null;
    if (reply.is === 'collision') return 0xff;
    throw this.#error('garbled', `an answer or silence was expected after "${line}"`);
  }

  /** The line that answers; lines that say something else (the bridge reports other traffic) are passed over. */
  async #reply(lines: Lines, line: string): Promise<BridgeReply> {
    await lines.send(line);
    for (;;) {
      const text = (await lines.next()) ?? '';
      const reply = readBridgeLine(this.#parts.lines, text);
      if (reply.is === 'refused')
        throw this.#error('refused', `"${line}" was sent, "${plainLine(reply.reason)}" came back`);
      if (reply.is !== 'other') return reply;
    }
  }

  /** After a conversation that broke off, nobody knows what arrived. */
  async #use<T>(call: Call, work: (lines: Lines) => Promise<T>): Promise<T> {
    try {
      return await this.#talk.use(call, work);
    } catch (error) {
      this.#target.forget();
      throw error;
    }
  }

  #error(kind: BenchErrorKind, why: string): BenchError {
    return new BenchError(kind, this.name, `DALI link ${this.name}: ${why}`);
  }
}
