/** The supply of the lamp and its input stage. */
export interface SupplyTraits {
  /** Ohm between the source and the lamp's rail. */
  sourceResistance: number;
  /** Ripple of the rail at twice the mains frequency: peak over mean. */
  ripple: number;
  /** Hz */
  mainsFrequency: number;
  /** Part of the rail's relative ripple that comes through to the LED current. */
  rippleFeedthrough: number;
  /** V of rail below which the processor restarts. */
  brownOut: number;
  /** Part of the input power that reaches the LEDs and the processor. */
  efficiency: number;
  /** W that the lamp draws when dark. */
  standby: number;
  /** s, input filter between the stages' current and the source. */
  inputFilter: number;
  /** Sine of the phase angle below which the rectifier does not conduct (0: sinusoidal current). Mains lamps. */
  conduction: number;
  /** Relative third harmonic of the input current. */
  thirdHarmonic: number;
}
