import type { BenchError } from '../../harness/bench/errors.ts';
import {
  isBankProperty,
  type LampProperty,
  lampProperties,
} from '../../harness/bench/lamp-properties.ts';
import type {
  Call,
  Identity,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
  SelfReport,
  Unsaid,
} from '../../harness/bench/ports.ts';
import { plainLine } from '../../harness/files/plain-text.ts';
import { readIdentity } from '../console/command-line.ts';
import { LinkBase, type LinkParts } from '../link-base.ts';
import { halfAnswer } from '../transport/half-answer.ts';
import type { OpenLinePort } from '../transport/line-port.ts';
import { LineSession, type Lines } from '../transport/line-session.ts';
import { askAgain, type BackwardAnswer } from './asked-again.ts';
import { bankPlaces } from './bank-places.ts';
import {
  type BridgeLines,
  type BridgeReply,
  type FrameLine,
  frameLine,
  linesFor,
  readBridgeLine,
} from './bridge-lines.ts';
import {
  addressOf,
  backwardFrameTime,
  commandFrame,
  type DaliAddress,
  frameTimeOf,
  gapPriority1,
  longFrames,
  mask,
  sendTwiceWindow,
} from './frame.ts';
import { type Bus, type Survey, surveyGear } from './gear-survey.ts';
import { fadeTimeCode, lightOfLevel } from './levels.ts';
import { isPlainQuery, isSteadyQuery, needsTwice, opcode, special } from './opcodes.ts';
import { busDoubt, lossDoubt } from './prove-bus.ts';
import { readBank } from './read-bank.ts';
import { TargetFrames } from './target-frames.ts';

/** Pairs of frames that may come too slowly, one after another. */
const tries = 4;

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
  readonly #short: number;
  readonly #address: DaliAddress;
  readonly #session: LineSession;
  readonly #target: TargetFrames;

  constructor(parts: DaliLinkParts) {
    super(parts, 'dali');
    this.#lines = parts.lines;
    this.#short = parts.shortAddress;
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

  /** Asks the gear; the settings of its data transfer registers are void afterwards. */
  async whoIsLamp(call: Call): Promise<Identity | null> {
    this.#target.forget();
    const survey = await this.#use(call, (lines) => this.#survey(lines));
    if (survey.found === 'one') return survey.identity;
    if (survey.found === 'nobody') throw this.#nobody();
    if (survey.found === 'unclear') throw this.#unclear(survey.words);
    throw this.#several('random addresses tell them apart');
  }

  async #survey(lines: Lines): Promise<Survey> {
    const survey = await surveyGear(this.#bus(lines), this.#short);
    await this.#mustBeInStep(lines);
    return survey;
  }

  /** QUERY ACTUAL LEVEL; MASK while the gear does not know. */
  async level(call: Call): Promise<number | null> {
    const query = commandFrame(this.#address, opcode.queryActualLevel);
    const level = await this.#use(call, (lines) => this.#askInStep(lines, query));
    if (level === null) throw this.#nobody();
    return level === mask ? null : lightOfLevel(level);
  }

  async mustCarry({ thorough }: { readonly thorough: boolean }, call: Call): Promise<void> {
    this.#target.forget();
    const doubt = await this.#use(
      call,
      async (lines) =>
        (await busDoubt(this.#bus(lines), this.#short)) ??
        (thorough ? lossDoubt(this.#bus(lines), this.#short) : null),
    );
    if (doubt !== null)
      throw this.error(
        'garbled',
        `what its bridge hands over as answers is not what was on the bus (${doubt}); look at the bridge and its line. A lamp that answers so shows the same`,
      );
  }

  /** Out of the memory banks of the gear; the settings of its data transfer registers are void afterwards. */
  async ask(property: LampProperty, call: Call): Promise<SelfReport | Unsaid> {
    if (!isBankProperty(property))
      throw this.error('unsupported', `it cannot ask for ${property}; RDM on DMX512 can`);
    this.#target.forget();
    return this.#use(call, async (lines) => {
      const bus = this.#bus(lines);
      const agree = agreement(property);
      const now = (): number => this.clock.now();
      const found = await readBank(bus, this.#address, bankPlaces[property], { now, agree });
      if (found) return found;
      if ((await bus.ask(commandFrame(this.#address, opcode.queryGearPresent))) === null)
        throw this.#nobody();
      throw this.error(
        'garbled',
        `no two readings of the lamp's ${property} agree, so that nobody knows what it said; look at the bridge and at other traffic on the bus`,
      );
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
    const { frame, twice = false, answer = false, deviceType } = message;
    // What a raw frame leaves in the gear is unknown here.
    this.#target.forget();
    return this.#use(call, async (lines) => {
      if (deviceType !== undefined) await this.#send(lines, [special.enableDeviceType, deviceType]);
      if (twice && !answer) await this.#twice(lines, frame);
      else if (twice || !answer) await this.#send(lines, frame);
      if (!answer) return null;
      // An enabled device type holds for the next frame alone.
      const byte = await (deviceType === undefined
        ? this.#askInStep(lines, frame)
        : this.#once(lines, frame));
      return byte === null ? null : { byte };
    });
  }

  override carry(on: boolean, call: Call): Promise<void> {
    const line = this.#lines[on ? 'power-on' : 'power-off'];
    if (line === null)
      return Promise.reject(
        this.error('unsupported', 'its bridge cannot switch the power of the bus'),
      );
    return this.#use(call, async (lines) => {
      await this.#done(lines, line);
      this.log?.sent({ kind: 'dali-bus', at: this.clock.now(), powered: on });
    });
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
      const query = commandFrame(this.#address, opcode.queryActualLevel);
      const level = await this.#askInStep(lines, query);
      return { confirmed: level === 0 };
    });
  }

  get exchange(): number {
    return this.#session.exchange;
  }

  get departed(): number {
    return this.#session.departed;
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

  async #send(lines: Lines, frame: readonly number[]): Promise<void> {
    const from = this.clock.now();
    await this.#done(lines, this.#line('send', frame));
    this.#tell(frame, { from, to: this.clock.now() });
  }

  /** It was over between the earliest that the bus allows and the instant at which it was confirmed; returns the middle. */
  #tell(frame: readonly number[], { from, to }: { from: number; to: number }): number {
    const earliest = Math.min(to, from + frameTimeOf(frame));
    const at = (earliest + to) / 2;
    this.log?.sent({ kind: 'dali', at, frame: [...frame] }, 'dali', to - earliest);
    return at;
  }

  #line(kind: FrameLine, frame: readonly number[]): string {
    const template = linesFor(this.#lines, frame)[kind];
    if (template !== null) return frameLine(template, frame);
    throw this.error(
      'unsupported',
      `its bridge carries no frames of ${frame.length * 8} bits (${kind}-24 is null in the rig file); use a bridge that does`,
    );
  }

  /** A pair that may have been too slow counts for nothing, and goes again. */
  async #twice(lines: Lines, frame: readonly number[]): Promise<void> {
    const gaps: number[] = [];
    while (gaps.length < tries) {
      const begun = this.clock.now();
      await this.#pair(lines, frame);
      // From the end of the first frame on; it took its time before, with the gap that the bus keeps ahead of it.
      const gap = this.clock.now() - begun - frameTimeOf(frame);
      if (gap <= sendTwiceWindow) return;
      gaps.push(gap);
    }
    const measured = gaps.map((gap) => `${Math.round(gap * 1000)} ms`).join(', ');
    throw this.error(
      'late',
      `its bridge took up to ${measured} from the first to the second of the frames ${frameLine('{frame}', frame)}; gear counts them within ${sendTwiceWindow * 1000} ms only (IEC 62386-102), so nobody knows whether it obeyed. Use a bridge that sends twice by itself, or a faster line to it`,
    );
  }

  async #pair(lines: Lines, frame: readonly number[]): Promise<void> {
    const { twice } = linesFor(this.#lines, frame);
    if (twice !== null) {
      const pair = frameTimeOf(frame) + gapPriority1;
      const from = this.clock.now();
      await this.#done(lines, frameLine(twice, frame));
      const to = this.clock.now();
      this.#tell(frame, { from, to: to - pair });
      this.#tell(frame, { from: from + pair, to });
      return;
    }
    await this.#send(lines, frame);
    await this.#send(lines, frame);
  }

  async #done(lines: Lines, line: string): Promise<void> {
    const reply = await this.#reply(lines, line);
    if (reply.is !== 'done')
      throw this.error('garbled', `expected "${this.#lines.done}" after "${line}"`);
  }

  #bus(lines: Lines): Bus {
    return {
      send: (frame) => this.#send(lines, frame),
      sendTwice: (frame) => this.#twice(lines, frame),
      ask: (frame) => this.#answer(lines, frame),
    };
  }

  /** The backward frame, or null for silence. Queries that change nothing are asked again before silence or a spoilt frame is believed. */
  async #askInStep(lines: Lines, frame: readonly number[]): Promise<number | null> {
    // Where time is virtual nothing is lost on the way, and a lamp that misses frames is the lamp's.
    if (this.clock.kind === 'virtual' || !isPlainQuery(frame)) return this.#once(lines, frame);
    const { answer, doubt } = await askAgain(
      () => this.#answer(lines, frame),
      isSteadyQuery(frame) ? 2 : 1,
    );
    await this.#mustBeInStep(lines);
    if (doubt !== null) throw this.#unclear(`${frameLine('{frame}', frame)} brought ${doubt}`);
    return this.#read(answer, frame);
  }

  async #once(lines: Lines, frame: readonly number[]): Promise<number | null> {
    const answer = await this.#answer(lines, frame);
    if (this.clock.kind === 'real') await this.#mustBeInStep(lines);
    return this.#read(answer, frame);
  }

  /**
   * Several that collide count as "at least one yes", as they may where many are asked; of one short address only one gear can
   * answer.
   */
  #read(answer: BackwardAnswer, frame: readonly number[]): number | null {
    if (answer !== 'collision') return answer;
    const [first = 0] = frame;
    if (frame.length === 2 && addressOf(first)?.to === 'short')
      throw this.#several(`their answers to ${frameLine('{frame}', frame)} collided`);
    return 0xff;
  }

  /** A bridge has no other question whose answer must be another one: it says who it is, and not what it said of a frame. */
  async #mustBeInStep(lines: Lines): Promise<void> {
    const asked = this.clock.now();
    const { exchange: before, departed } = this.#session;
    await lines.send(this.#lines.identify);
    const text = await lines.answer();
    // What was asked before was confirmed by then.
    this.#session.exchange = before + this.clock.now() - asked;
    this.#session.departed = departed;
    const { is } = readBridgeLine(this.#lines, text);
    if (is === 'other' || is === 'refused') return;
    throw this.error(
      'garbled',
      `its bridge answered "${plainLine(text)}" when it was asked who it is: its answers are out of step with what is asked`,
    );
  }

  #unclear(how: string): BenchError {
    return this.error(
      'garbled',
      `frames are lost or garbled on the bus (${how}): look at its cable, its power supply and its bridge; a lamp that misses frames shows the same`,
    );
  }

  #nobody(): BenchError {
    return this.error(
      'timeout',
      `no gear answers at short address ${this.#short}, although its bridge does; does the lamp have power and the bus, and is that its address?`,
    );
  }

  #several(how: string): BenchError {
    return this.error(
      'collision',
      `more than one gear answers at short address ${this.#short} (${how}); leave one lamp on the bus, or give each an address of its own`,
    );
  }

  async #answer(lines: Lines, frame: readonly number[]): Promise<BackwardAnswer> {
    const line = this.#line('query', frame);
    const from = this.clock.now();
    const reply = await this.#reply(lines, line);
    // A backward frame takes its time before it can be told of.
    const after = reply.is === 'answer' ? backwardFrameTime : 0;
    const at = this.#tell(frame, { from, to: this.clock.now() - after });
    if (reply.is === 'answer') {
      this.log?.answered({ kind: 'dali', at, byte: reply.byte });
      return reply.byte;
    }
    if (reply.is === 'silence') {
      this.log?.answered({ kind: 'dali', at, byte: null });
      return null;
    }
    if (reply.is === 'collision') return 'collision';
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
      throw halfAnswer(error, this.#session.unended);
    }
  }
}

/** Two readings of what stands still are the same, and what counts does not go back. */
function agreement(property: LampProperty): (first: number, second: number) => boolean {
  const { moves } = lampProperties[property];
  if (moves === 'never') return (first, second) => first === second;
  return moves === 'up' ? (first, second) => second >= first : () => true;
}
