import { type SlotLink, slotCount } from '../../../harness/bench/lamp.ts';
import type { DimmingCurve } from '../../../harness/measure/observation.ts';
import { highestValue, levelOfPosition } from '../../dmx/slots.ts';
import type { LightControl } from './light-control.ts';
import type { FirmwareTraits } from './traits.ts';

/** Frames closer than this belong to one stream, s; the lamp glides from one to the next. */
const streamGap = 0.1;
const longestGlide = 0.05;

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

  begin(): void {
    this.#next = -1;
  }

  /** True when this byte completed a frame that changes the light. */
  take(byte: number, now: number): boolean {
    if (this.#next === null) return false;
    if (this.#next === -1) {
      this.#next = this.#traits.takesStartCode(byte) ? 0 : this.#between;
      return false;
    }
    const index = this.#next++ - (this.#first - 1);
    if (index < 0) return false;
    this.#slots[index] = byte;
    if (index < this.#slots.length - 1) return false;
    this.#next = this.#between;
    return this.#complete(now);
  }

  /** Does what the lamp file says when no frame has come for long enough. */
  watch(now: number): void {
    const { signalLoss } = this.#traits;
    if (this.#lastFrame === null || signalLoss === null) return;
    if (now - this.#lastFrame > signalLoss) this.lose();
  }

  /** The signal is gone. */
  lose(): void {
    this.#lastFrame = null;
    this.#acted = null;
    this.#next = null;
    if (this.#traits.signalLoss === null) return;
    if (this.#traits.lossAction(this.#link.onLoss) === 'hold') return;
    this.#light.go({ level: 0, intensities: this.#light.target.intensities }, 0);
  }

  #complete(now: number): boolean {
    const gap = this.#lastFrame === null ? Number.POSITIVE_INFINITY : now - this.#lastFrame;
    this.#lastFrame = now;
    if (this.#acted?.every((value, index) => value === this.#slots[index])) return false;
    this.#acted = this.#slots.slice();
    const highest = highestValue(this.#link.bits);
    const level = this.#value(0);
    const intensities = Array.from({ length: this.#channels }, (_, channel) =>
      this.#traits.slotValue(this.#value(1 + channel), highest),
    );
    const position = this.#traits.slotValue(Math.max(0, level - 1), highest - 1);
    this.#light.go(
      { level: level === 0 ? 0 : levelOfPosition(position, this.#curve), intensities },
      gap <= streamGap ? Math.min(gap, longestGlide) : 0,
      { glide: true },
    );
    return true;
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
    return (coarse << 8) | fine;
  }
}
