import type { VirtualTime } from './clock/virtual-time.ts';
import type { LinkInput } from './firmware/firmware.ts';

/** The lamp's side of its control links, as the simulated hardware offers it. All instants on the condition's clock, s. */
export interface LinkPort {
  readonly time: VirtualTime;
  /**
   * Hands `input` to the firmware at instant `at` (not before now), in order of `at`, then of calls. `last` marks the
   * end of a command: the sync pin then rises for 1 ms.
   */
  deliver(at: number, input: LinkInput, last?: boolean): void;
  /**
   * Calls `action` when the simulation comes to `instant` (not before now), in order of instants, then of calls, before
   * anybody who waits for that instant resumes. It does not make the simulation run: a stream of frames goes on only
   * while somebody waits.
   */
  schedule(instant: number, action: () => void): void;
  /** Every byte that the firmware sends, with its instant, as it sends it. */
  listen(listener: (link: 'console' | 'dali', byte: number, at: number) => void): void;
  /** Pulls the reset pin at instant `at`. */
  reset(at: number): void;
  /** True when no channel's register drives light now (what a light sensor would confirm). */
  dark(): boolean;
}
