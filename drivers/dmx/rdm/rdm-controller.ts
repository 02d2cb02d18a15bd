import type { DriverClock } from '../../driver-clock.ts';
import { decodeFound } from './discovery-response.ts';
import { type NackReason, nackReasons, parameter } from './parameters.ts';
import {
  commandClass,
  decodeRdm,
  encodeRdm,
  type RdmPacket,
  rdmStartCode,
  responseType,
} from './rdm-packet.ts';
import { everybody, highestUid, lowestUid, type Uid, uidBytes } from './uid.ts';

/** A line on which a message goes out and, for a while, everything that comes back is heard. */
export interface RdmLine {
  /** `all`: listen for the whole time, as several may answer. */
  talk(message: Uint8Array, all: boolean, signal: AbortSignal): Promise<Uint8Array>;
}

/** What a responder answers; what came of a question where it is none. */
export type RdmAnswer =
  | { readonly is: 'data'; readonly data: readonly number[] }
  | { readonly is: 'refused'; readonly reason: NackReason | 'unknown-reason' }
  /** Nothing at all came back, each time. */
  | { readonly is: 'silence' }
  /** Something came back, but never a whole answer. */
  | { readonly is: 'garbled'; readonly why: string };

/** Times that a question is asked: an answer may be lost, and noise may spoil it. A refusal counts when it comes twice. */
const tries = 4;
/** Branches that are looked at: 48 bits to halve for each of eight devices, and one more each. */
const mostBranches = 8 * 49;
/** ACK_TIMER counts in these, s; one that asks for longer than the limit is no answer. */
const timerUnit = 0.1;
const longestTimer = 10;
/** Status that GET QUEUED_MESSAGE asks for. */
const advisory = 0x02;

/** A controller of ANSI E1.20: one question at a time, with its own id on the line. */
export class RdmController {
  readonly #line: RdmLine;
  readonly #own: Uid;
  readonly #clock: DriverClock;
  #transaction = 0;

  constructor(line: RdmLine, own: Uid, clock: DriverClock) {
    this.#line = line;
    this.#own = own;
    this.#clock = clock;
  }

  get(to: Uid, pid: number, signal: AbortSignal): Promise<RdmAnswer> {
    return this.#ask(to, { commandClass: commandClass.get, parameter: pid, data: [] }, signal);
  }

  set(to: Uid, pid: number, data: readonly number[], signal: AbortSignal): Promise<RdmAnswer> {
    return this.#ask(to, { commandClass: commandClass.set, parameter: pid, data }, signal);
  }

  /**
   * Everybody on the line, by halving the ids until one answers alone (ANSI E1.20-2010 7.1): at most `most` of them. Null
   * where the line is full of noise.
   */
  async discover(signal: AbortSignal, most = 8): Promise<readonly Uid[] | null> {
    await this.#broadcast(parameter.discUnMute, signal);
    const found: Uid[] = [];
    const branches: (readonly [Uid, Uid])[] = [[lowestUid, highestUid]];
    let asked = 0;
    for (let branch = branches.pop(); branch && found.length < most; branch = branches.pop()) {
      signal.throwIfAborted();
      // Noise answers everywhere; eight devices need fewer questions than that.
      if (++asked > mostBranches) return null;
      const [low, high] = branch;
      const answer = await this.#branch(low, high, signal);
      if (answer === null) continue;
      if (answer !== 'garbled' && (await this.#mute(answer.uid, signal))) {
        found.push(answer.uid);
        branches.push(branch);
      } else if (low < high) {
        const middle = low + Math.floor((high - low) / 2);
        branches.push([middle + 1, high], [low, middle]);
      }
    }
    return found.toSorted((one, other) => one - other);
  }

  /** Two silences in a row are one: an answer may have been lost. */
  async #branch(low: Uid, high: Uid, signal: AbortSignal) {
    const data = [...uidBytes(low), ...uidBytes(high)];
    for (let turn = 0; turn < 2; turn++) {
      const message = this.#message(everybody, {
        commandClass: commandClass.discover,
        parameter: parameter.discUniqueBranch,
        data,
      });
      const answer = decodeFound(await this.#line.talk(message, true, signal));
      if (answer !== null) return answer;
    }
    return null;
  }

  async #mute(to: Uid, signal: AbortSignal): Promise<boolean> {
    const question = {
      commandClass: commandClass.discover,
      parameter: parameter.discMute,
      data: [],
    };
    return (await this.#ask(to, question, signal)).is === 'data';
  }

  async #broadcast(pid: number, signal: AbortSignal): Promise<void> {
    const question = { commandClass: commandClass.discover, parameter: pid, data: [] };
    await this.#line.talk(this.#message(everybody, question), true, signal);
  }

  async #ask(to: Uid, question: Question, signal: AbortSignal): Promise<RdmAnswer> {
    let last: RdmAnswer = { is: 'silence' };
    let refused: string | null = null;
    for (let turn = 0; turn < tries; turn++) {
      const answer = await this.#once(to, question, signal);
      if (answer.is === 'data') return answer;
      if (answer.is === 'refused') {
        if (refused === answer.reason) return answer;
        refused = answer.reason;
      }
      if (answer.is !== 'silence') last = answer;
    }
    return last;
  }

  async #once(to: Uid, question: Question, signal: AbortSignal): Promise<RdmAnswer> {
    const message = this.#message(to, question);
    const transaction = this.#transaction;
    const heard = await this.#line.talk(message, false, signal);
    const answer = this.#answerIn(heard, to, transaction);
    if ('is' in answer) return answer;
    const { portOrType, data } = answer;
    if (portOrType === responseType.ackTimer) return this.#later(to, question, data, signal);
    if (portOrType === responseType.nack) {
      const reason = nackReasons[256 * (data[0] ?? 0) + (data[1] ?? 0)] ?? 'unknown-reason';
      return { is: 'refused', reason };
    }
    if (portOrType !== responseType.ack)
      return { is: 'garbled', why: `response type ${portOrType} is not understood here` };
    if (
      answer.commandClass !== question.commandClass + 1 ||
      answer.parameter !== question.parameter
    )
      return { is: 'garbled', why: 'it answers another question' };
    return { is: 'data', data };
  }

  /** The responder needs time, and keeps its answer for GET QUEUED_MESSAGE (ANSI E1.20-2010 6.3.2 and 10.3.1). */
  async #later(
    to: Uid,
    question: Question,
    [high = 0, low = 0]: readonly number[],
    signal: AbortSignal,
  ): Promise<RdmAnswer> {
    const wait = (256 * high + low) * timerUnit;
    if (wait > longestTimer) return { is: 'garbled', why: `it asks for ${wait} s` };
    for (let turn = 0; turn < tries; turn++) {
      await this.#clock.waitUntil(this.#clock.now() + wait, signal);
      const get = {
        commandClass: commandClass.get,
        parameter: parameter.queuedMessage,
        data: [advisory],
      };
      const message = this.#message(to, get);
      const transaction = this.#transaction;
      const heard = await this.#line.talk(message, false, signal);
      const answer = this.#answerIn(heard, to, transaction);
      if ('is' in answer || answer.parameter !== question.parameter) continue;
      if (answer.portOrType === responseType.ack) return { is: 'data', data: answer.data };
    }
    return { is: 'garbled', why: 'it asked for time, and never gave its answer' };
  }

  /** The whole answer to this question among what was heard, or what was heard instead. */
  #answerIn(
    heard: Uint8Array,
    from: Uid,
    transaction: number,
  ): RdmPacket | Extract<RdmAnswer, { is: 'silence' | 'garbled' }> {
    if (heard.length === 0) return { is: 'silence' };
    // A break reads as a zero byte, or as none.
    const at = heard.indexOf(rdmStartCode);
    const packet = at < 0 ? { garbled: 'no START code 0xcc in it' } : decodeRdm(heard.subarray(at));
    if ('garbled' in packet) return { is: 'garbled', why: packet.garbled };
    if (packet.from !== from || packet.to !== this.#own || packet.transaction !== transaction)
      return { is: 'garbled', why: 'it is the answer to another message' };
    return packet;
  }

  #message(to: Uid, question: Question): Uint8Array {
    this.#transaction = (this.#transaction + 1) & 0xff;
    return encodeRdm({
      ...question,
      ...{ to, from: this.#own, transaction: this.#transaction },
      ...{ portOrType: 1, waiting: 0, subDevice: 0 },
    });
  }
}

type Question = Pick<RdmPacket, 'commandClass' | 'parameter' | 'data'>;
