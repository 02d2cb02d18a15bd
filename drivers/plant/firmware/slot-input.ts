import { usualTiming } from '../../../harness/bench/dmx-timing.ts';
import { mostSlots, type SlotLink, slotCount } from '../../../harness/bench/lamp.ts';
import type { DimmingCurve } from '../../../harness/measure/observation.ts';
import { highestValue, levelOfPosition } from '../../dmx/slots.ts';
import type { LightControl } from './light-control.ts';
import type { FirmwareTraits } from './traits.ts';

/** Frames closer than this belong to one stream, s; the lamp glides from one to the next. */
const streamGap = 0.1;
const longestGlide = 0.05;
/** Frames that a fault may be behind. */
const mostRemembered = 8;

/**
 * DMX512 frames to light. Only frames with new values act, so that a steady stream does not overrule other links.
 * Within a stream the lamp glides over the time between two frames: a sender's 40 steps a second stay unseen.
 */
export class SlotInput {
  readonly #link: SlotLink;
  readonly #curve: DimmingCurve;
  readonly #light: LightControl;
  readonly #traits: FirmwareTraits;
  readonly #slots: Uint8Array;
  /** As RDM tells it, and the slot that is read first. */
  #told: number;
  #first: number;
  #acted: Uint8Array | null = null;
  /** Slot that the next byte fills, from 0; -1: the start code comes; null: this frame is not for us. */
  #next: number | null = null;
  #lastFrame: number | null = null;
  /** Frames with new values so far. */
  #frames = 0;
  /** Values of the last frame that counted, and of those before, the latest first. */
  #values: readonly number[] = [];
  #former: readonly (readonly number[])[] = [];
  #wasLost = false;
  /** Until when the first frame shows something else, s. */
  #firstUntil: number | null = null;

  constructor(
    link: SlotLink,
    channels: number,
    curve: DimmingCurve,
    light: LightControl,
    traits: FirmwareTraits,
  ) {
    this.#link = link;
    this.#told = link.firstSlot;
    this.#first = link.firstSlot;
    this.#curve = curve;
    this.#light = light;
    this.#traits = traits;
    this.#slots = new Uint8Array(slotCount(link, channels));
  }

  /** Whether the loss of the signal still has to be watched for. */
  get watching(): boolean {
    return this.#lastFrame !== null && this.#traits.signalLoss !== null;
  }

  get firstSlot(): number {
    return this.#told;
  }

  /** A start address that RDM sets. */
  moveTo(address: number): void {
    this.#told = address;
    if (this.#traits.movesSlots) this.#first = address;
    this.#acted = null;
  }

  /** A break of `low` s, with a mark of `mark` s behind it. */
  begin(now: number, low = usualTiming.break, mark = usualTiming.mark): void {
    const came = (this.#next ?? 0) - (this.#first - 1);
    if (this.#traits.clearsShortFrames && came > 0) {
      this.#slots.fill(0, came);
      this.#complete(now);
    }
    this.#next = this.#traits.takesBreak(low, mark) ? -1 : null;
  }

  /** A byte was not whole: the rest of the frame is not taken. */
  spoil(): void {
    this.#next = null;
  }

  /** True when this byte completed a frame that changes the light. */
  take(byte: number, now: number): boolean {
    if (this.#next === null) return false;
    if (this.#next === -1) {
      this.#next = this.#traits.takesStartCode(byte) ? 0 : this.#between;
      return false;
    }
    const index = this.#traits.slotPlace(this.#next++) - (this.#first - 1);
    if (index < 0) return false;
    this.#slots[index] = byte;
    if (index !== this.#slots.length - 1) return false;
    if (this.#traits.slotPlace(mostSlots) === mostSlots) this.#next = this.#between;
    return this.#complete(now);
  }

  /** Whether a frame has come since an instant, s. */
  heardSince(at: number): boolean {
    return this.#lastFrame !== null && this.#lastFrame >= at;
  }

  /** What comes next is news, though it say the same again. */
  forget(): void {
    this.#acted = null;
  }

  /** Does what the lamp file says when no frame has come for long enough; the light stays where another input has it. */
  watch(now: number, isLitByOther = false): void {
    const { signalLoss } = this.#traits;
    if (this.#firstUntil !== null && now >= this.#firstUntil) {
      this.#firstUntil = null;
      this.#act(0);
    }
    if (this.#lastFrame === null || signalLoss === null) return;
    if (now - this.#lastFrame > signalLoss) this.lose(isLitByOther);
  }

  /** The signal is gone. */
  lose(isLitByOther = false): void {
    this.#lastFrame = null;
    this.#wasLost = true;
    this.#acted = null;
    this.#next = null;
    if (this.#traits.signalLoss === null || isLitByOther) return;
    if (this.#traits.lossAction(this.#link.onLoss) === 'hold') return;
    this.#light.go({ level: 0, intensities: this.#light.target.intensities }, 0);
  }

  #complete(now: number): boolean {
    const gap = this.#lastFrame === null ? Number.POSITIVE_INFINITY : now - this.#lastFrame;
    this.#lastFrame = now;
    if (this.#acted?.every((value, index) => value === this.#slots[index])) return false;
    if (this.#wasLost && !this.#traits.resumesAfterLoss) return false;
    const isFirst = this.#frames === 0;
    if (!this.#traits.heedsFrame(this.#frames++)) return false;
    this.#acted = this.#slots.slice();
    this.#former = [this.#values, ...this.#former].slice(0, mostRemembered);
    this.#values = Array.from({ length: 1 + this.#channels }, (_, place) => this.#value(place));
    const { firstFrameLevel, firstFrameLasts } = this.#traits;
    if (isFirst && firstFrameLevel !== null && this.#values[0] !== 0) {
      this.#firstUntil = now + firstFrameLasts;
      this.#light.go({ level: firstFrameLevel, intensities: this.#intensities }, 0);
    } else this.#act(gap <= streamGap ? Math.min(gap, longestGlide) : 0);
    return true;
  }

  get #intensities(): readonly number[] {
    const highest = highestValue(this.#link.bits);
    return this.#values.slice(1).map((value, channel) => {
      const before = this.#former[this.#traits.slotLag(channel) - 1]?.[1 + channel];
      return this.#traits.slotValue(before ?? value, highest);
    });
  }

  /** The light goes to the values in `over` seconds. */
  #act(over: number): void {
    const [level = 0] = this.#values;
    const highest = highestValue(this.#link.bits);
    // On a logarithmic curve 1 is its bottom; a straight one has no other than 0.
    const first = this.#curve.kind === 'linear' ? 0 : 1;
    const position = this.#traits.slotValue(Math.max(0, level - first), highest - first);
    this.#light.go(
      {
        level: level === 0 ? this.#traits.zeroLevel : levelOfPosition(position, this.#curve),
        intensities: this.#intensities,
      },
      over,
      { glide: true },
    );
  }

  /** What is waited for between two frames: a break, unless something is wrong. */
  get #between(): -1 | null {
    return this.#traits.needsNoBreak ? -1 : null;
  }

  get #channels(): number {
    return this.#slots.length / (this.#link.bits / 8) - 1;
  }

  #value(parameter: number): number {
    if (this.#link.bits === 8) return this.#slots[parameter] ?? 0;
    const [coarse = 0, fine = 0] = this.#slots.subarray(2 * parameter);
    return this.#traits.pairValue(coarse, fine, this.#values[parameter] ?? 0);
  }
}
