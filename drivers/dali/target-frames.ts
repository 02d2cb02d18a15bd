import type { Lamp } from '../../harness/bench/lamp.ts';
import type { LampTarget } from '../../harness/bench/ports.ts';
import {
  type DaliAddress,
  type ForwardFrame,
  fadeTimeFrames,
  highestPrimary,
  levelFrame,
  mostPrimaries,
  primaryFrames,
} from './frame.ts';
import { nearestLevel } from './levels.ts';
import { special } from './opcodes.ts';

/**
 * The frames that take a lamp to a target, without those that would write what it holds already. Frames that have to go
 * twice stand once; a bus sends one after another, so their order matters.
 */
export class TargetFrames {
  readonly #lamp: Lamp;
  readonly #address: DaliAddress;
  #fadeCode: number | null = null;
  #primaries: (number | undefined)[] = [];
  readonly #registers = new Map<number, number>();

  constructor(lamp: Lamp, address: DaliAddress) {
    this.#lamp = lamp;
    this.#address = address;
  }

  /** Frames to the target with a fade time code; or why there are none. */
  to(
    target: LampTarget,
    fadeCode: number,
  ): readonly ForwardFrame[] | { readonly impossible: string } {
    const { channels } = this.#lamp;
    const whole = channels.every(({ channel }) => target.intensities[channel] === 1);
    const mixed = channels.length <= mostPrimaries;
    if (!mixed && !whole)
      return {
        impossible: `it cannot mix ${channels.length} channels, only ${mostPrimaries} (the primaries of DALI); use mix all, or another link`,
      };
    const frames: ForwardFrame[] = [];
    if (fadeCode !== this.#fadeCode) {
      const [register, command] = fadeTimeFrames(this.#address, fadeCode);
      frames.push(register, command);
      this.#fadeCode = fadeCode;
    }
    if (mixed) frames.push(...this.#mix(target));
    frames.push(levelFrame(this.#address, nearestLevel(target.level)));
    return frames.filter((frame) => !this.#isHeld(frame));
  }

  /** Nothing is known of the gear any more. */
  forget(): void {
    this.#fadeCode = null;
    this.#primaries = [];
    this.#registers.clear();
  }

  #mix(target: LampTarget): ForwardFrame[] {
    return this.#lamp.channels.flatMap(({ channel }, index) => {
      const value = Math.round((target.intensities[channel] ?? 0) * highestPrimary);
      if (value === this.#primaries[index]) return [];
      this.#primaries[index] = value;
      return primaryFrames(this.#address, index, value);
    });
  }

  /** Whether a data transfer register holds already what the frame would write. */
  #isHeld([first, second]: ForwardFrame): boolean {
    if (first !== special.dtr0 && first !== special.dtr1) return false;
    const held = this.#registers.get(first) === second;
    this.#registers.set(first, second);
    return held;
  }
}
