/** The LEDs of one channel. */
export interface EmitterTraits {
  /** Full light over the nominal one at nominal current and reference temperature. */
  flux: number;
  /** Efficacy is (1 + droop) / (1 + droop * I/Imax) of the nominal one. */
  droop: number;
  /** Relative change of light per kelvin. */
  lightPerKelvin: number;
  /** Chromaticity at nominal current and reference temperature, CIE 1931. */
  xy: readonly [number, number];
  /** Change of (x, y) per natural logarithm of the current, and per kelvin. */
  xyPerLogCurrent: readonly [number, number];
  xyPerKelvin: readonly [number, number];
  /** V at nominal current; ohm of the slope about it. */
  forwardVoltage: number;
  dynamicResistance: number;
}
