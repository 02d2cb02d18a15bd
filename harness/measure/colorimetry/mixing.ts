import type { Tristimulus } from './chromaticity.ts';

/** Sum of lights: tristimulus values add (Grassmann; CIE 15). */
export function mix(lights: readonly Tristimulus[]): Tristimulus {
  return lights.reduce((sum, { X, Y, Z }) => ({ X: sum.X + X, Y: sum.Y + Y, Z: sum.Z + Z }), {
    X: 0,
    Y: 0,
    Z: 0,
  });
}
