import type { OperatingPoint } from './stage/fixed-off-time.ts';

/** One channel while its gate is on. */
export interface ChannelState {
  /** A, mean while on. */
  readonly current: number;
  readonly cycle: OperatingPoint | null;
  /** V across the LEDs. */
  readonly voltage: number;
}

/** A stretch of time in which temperature, rail and settings of the stages stay as they are: everything slow. */
export interface Epoch {
  /** s */
  readonly from: number;
  /** V; 0: without power. */
  readonly rail: number;
  /** V or V rms at the terminals. */
  readonly source: number;
  /** degrees Celsius of the LED board */
  readonly temperature: number;
  /** W drawn by the lamp. */
  readonly power: number;
  readonly channels: readonly ChannelState[];
}
