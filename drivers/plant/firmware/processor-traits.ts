import type { Lamp } from '../../../harness/bench/lamp.ts';

/** The processor as built: its oscillator, and what starts it. */
export interface ProcessorTraits {
  /** How fast its timers run: 1.01 counts 1.01 s in a second, and ticks come a hundredth earlier. */
  rate: number;
  /** s from power, or a reset, to the first instruction of the firmware. */
  boot: number;
  /** s without a kick after which the watchdog restarts the processor; null: it has none. */
  watchdog: number | null;
}

/** A crystal: its parts per million are the modulator's (`clockFactor`), which are seen there long before a timer shows them. */
export function healthyProcessor({ processor }: Pick<Lamp, 'processor'>): ProcessorTraits {
  return { rate: 1, boot: processor?.boot ?? 0, watchdog: processor?.watchdog ?? null };
}
