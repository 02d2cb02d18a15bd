/** What the processor's time comes from. */
export interface OscillatorTraits {
  /** How fast its timers run: 1.01 counts 1.01 s in a second, and ticks come a hundredth earlier. */
  rate: number;
}

/** A crystal: its parts per million are the modulator's (`clockFactor`), which are seen there long before a timer shows them. */
export function healthyOscillator(): OscillatorTraits {
  return { rate: 1 };
}
