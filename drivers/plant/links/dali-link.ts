import type {
  Call,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../../harness/bench/ports.ts';
import {
  answerGap,
  backwardFrameTime,
  commandFrame,
  type DaliAddress,
  type ForwardFrame,
  fadeTimeFrames,
  forwardFrameTime,
  gapPriority1,
  gapPriority2,
  highestPrimary,
  levelFrame,
  longFrames,
  mostPrimaries,
  primaryFrames,
} from '../../dali/frame.ts';
import { fadeTimeCode, nearestLevel } from '../../dali/levels.ts';
import { needsTwice, opcode, special } from '../../dali/opcodes.ts';
import { LampLinkBase } from './lamp-link-base.ts';
import type { LampLinkParts } from './lamp-link-parts.ts';

/**
 * A DALI bus with one lamp on it. Levels go as the nearest arc power level, mixes as primaries of colour control gear
 * (-209), fades as the fade time code whose time is the wanted one. Frames take 15.83 ms and keep their gaps.
 */
export class PlantDaliLink extends LampLinkBase implements LampLink {
  readonly #address: DaliAddress;
  /** Instant at which the next frame may start, s. */
  #free = 0;
  #answer: number | null = null;
  /** What the gear holds as far as this link knows. */
  #fadeCode: number | null = null;
  #primaries: number[] = [];
  #dtr: [number | null, number | null] = [null, null];

  constructor(parts: LampLinkParts, shortAddress: number) {
    super(parts, 'dali');
    this.#address = { to: 'short', address: shortAddress };
    parts.port.listen((link, byte) => {
      if (link === 'dali') this.#answer = byte;
    });
  }

  async set(target: LampTarget, call: Call): Promise<void> {
    await this.#go(target, 0, call);
  }

  async fade(target: LampTarget, over: number, call: Call): Promise<void> {
    const code = fadeTimeCode(over);
    if (code === null)
      throw this.error(
        'unsupported',
        `a fade of ${over} s was asked for; DALI knows 0 and 0.5 x sqrt(2^n) s (0.71, 1, 1.41, 2, 2.83, 4 … 90.5 s), choose one of these`,
      );
    await this.#go(target, code, call);
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    this.open(call);
    if (message.link !== 'dali')
      throw this.error('unsupported', `a ${message.link} message was asked for; it carries frames`);
    // What a raw frame leaves in the gear is unknown here.
    this.#forget();
    await this.#transmit(message.frame, gapPriority2, call);
    if (message.twice) await this.#transmit(message.frame, gapPriority1, call);
    if (!message.answer) return null;
    const byte = await this.#listen(call);
    return byte === null ? null : { byte };
  }

  override async carry(on: boolean, call: Call): Promise<void> {
    this.open(call);
    this.port.deliver(this.port.time.now(), { link: 'dali', event: 'bus', powered: on });
  }

  /** Frames of 24 bits. */
  async noise(bytes: Uint8Array, call: Call): Promise<void> {
    this.open(call);
    for (const frame of longFrames(bytes)) await this.#transmit(frame, gapPriority2, call);
  }

  override async reset(call: Call): Promise<void> {
    await super.reset(call);
    this.#forget();
  }

  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    this.open(call);
    await this.#transmit(commandFrame(this.#address, opcode.off), gapPriority2, call);
    await this.#transmit(commandFrame(this.#address, opcode.queryActualLevel), gapPriority2, call);
    return { confirmed: (await this.#listen(call)) === 0 };
  }

  async #go(target: LampTarget, fadeCode: number, call: Call): Promise<void> {
    this.open(call);
    if (fadeCode !== this.#fadeCode) {
      await this.#all(fadeTimeFrames(this.#address, fadeCode), call);
      this.#fadeCode = fadeCode;
    }
    await this.#mix(target, call);
    await this.#transmit(levelFrame(this.#address, nearestLevel(target.level)), gapPriority2, call);
  }

  /** Loads the primaries that changed; the level frame that follows starts them. */
  async #mix(target: LampTarget, call: Call): Promise<void> {
    const { channels } = this.lamp;
    if (channels.length > mostPrimaries) {
      if (channels.every(({ channel }) => target.intensities[channel] === 1)) return;
      throw this.error(
        'unsupported',
        `a mix of ${channels.length} channels was asked for; DALI primaries are ${mostPrimaries}. Use mix all, or another link`,
      );
    }
    for (const [index, { channel }] of channels.entries()) {
      const value = Math.round((target.intensities[channel] ?? 0) * highestPrimary);
      if (value === this.#primaries[index]) continue;
      await this.#all(primaryFrames(this.#address, index, value), call);
      this.#primaries[index] = value;
    }
  }

  async #all(frames: readonly ForwardFrame[], call: Call): Promise<void> {
    let previous: ForwardFrame | undefined;
    for (const frame of frames) {
      const again = previous && needsTwice(frame[1]) && previous.join() === frame.join();
      if (!this.#isHeld(frame))
        await this.#transmit(frame, again ? gapPriority1 : gapPriority2, call);
      previous = frame;
    }
  }

  /** Whether a data transfer register already holds what the frame would write. */
  #isHeld([first, second]: ForwardFrame): boolean {
    const register = first === special.dtr0 ? 0 : first === special.dtr1 ? 1 : null;
    if (register === null) return false;
    const held = this.#dtr[register] === second;
    this.#dtr[register] = second;
    return held;
  }

  async #transmit(frame: readonly number[], gap: number, call: Call): Promise<void> {
    const { lost, late } = this.nextMessage();
    const start = Math.max(this.port.time.now(), this.#free);
    const bits = 3 + 8 * frame.length;
    const end = start + (frame.length === 2 ? forwardFrameTime : bits / 1200);
    this.#free = end + gap;
    this.#answer = null;
    if (!lost) this.port.deliver(end + late, { link: 'dali', frame: [...frame] }, true);
    await this.until(end, call);
  }

  /** The backward frame, or null for silence. Taken whole, in its own time. */
  async #listen(call: Call): Promise<number | null> {
    const end = this.port.time.now() + answerGap + backwardFrameTime;
    await this.until(end, call);
    this.#free = Math.max(this.#free, end + gapPriority1);
    return this.#answer;
  }

  #forget(): void {
    this.#fadeCode = null;
    this.#primaries = [];
    this.#dtr = [null, null];
  }
}
