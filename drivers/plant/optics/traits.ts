/** The way of the light from the LEDs to the sensors. */
export interface OpticsTraits {
  /** Illuminance at the sensors for each lumen of a channel, lx/lm, one figure a channel. */
  luxPerLumen: number[];
  /** lx of other light at the sensors. */
  stray: number;
}
