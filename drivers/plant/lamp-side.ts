import type { Heard } from '../../harness/bench/heard.ts';
import type { DriverClock } from '../driver-clock.ts';
import type { LinkInput } from './firmware/firmware.ts';

/** The lamp's side of its control links, as the simulated hardware offers it. All instants on the condition's clock, s. */
export interface LampSide {
  readonly clock: DriverClock;
  /** Datagrams go to the firmware as they are, and not through a network interface of the lamp. */
  readonly takesDatagrams: boolean;
  /**
   * Hands `input` to the firmware at instant `at` (not before now), in order of `at`, then of calls. `last` marks the
   * end of a command: the sync pin then rises for 1 ms.
   */
  deliver(at: number, input: LinkInput, last?: boolean): void;
  /** Every byte that the firmware sends, with its instant, as it sends it. */
  listen(listener: (link: 'console' | 'dali' | 'dmx', byte: number, at: number) => void): void;
  /** Something whole is on its way to the lamp and arrives at its `at`, unless a fault loses it or holds it back. */
  heard?(event: Heard): void;
  /** When the lamp's processor started last, s; null without power. */
  upSince(): number | null;
  /**
   * When the DMX512 line to the lamp is free of what is under way, s: whoever else hands slots to the lamp waits for that. And when its
   * last frame ends: bytes that belong to none are no signal. And how many frames of the network the lamp has been handed.
   */
  readonly slotLine: { freeAt: number; framesUntil: number; networkFrames: number };
  /** Pulls the reset pin at instant `at`. */
  reset(at: number): void;
}
