/** CIE 1931 tristimulus values at the sensor, Y in lx. */
export interface Tristimulus {
  readonly X: number;
  readonly Y: number;
  readonly Z: number;
}

/** XYZ of light of illuminance `Y` and chromaticity (x, y): X = Y x / y, Z = Y (1 - x - y) / y (CIE 15). */
export function tristimulus(Y: number, x: number, y: number): Tristimulus {
  return { X: (Y * x) / y, Y, Z: (Y * (1 - x - y)) / y };
}
