import { type Tristimulus, type Xy, xyToXyz } from './chromaticity.ts';

/** Sum of lights: tristimulus values add (Grassmann; CIE 15). */
export function mix(lights: readonly Tristimulus[]): Tristimulus {
  return lights.reduce((sum, { X, Y, Z }) => ({ X: sum.X + X, Y: sum.Y + Y, Z: sum.Z + Z }), {
    X: 0,
    Y: 0,
    Z: 0,
  });
}

/** A channel at full light: chromaticity and luminous flux or illuminance. */
export interface Primary extends Xy {
  readonly Y: number;
}

/**
 * Weights (parts of full light) with which three primaries make the target; null where they lie on one line.
 * A weight below 0 or above 1 says that the target is out of reach. Solved by Cramer's rule on the XYZ sums.
 * Source: CIE 15 (additivity).
 */
export function mixingWeights(
  primaries: readonly [Primary, Primary, Primary],
  target: Primary,
): readonly [number, number, number] | null {
  const [a, b, c] = primaries.map((primary) => vector(xyToXyz(primary, primary.Y)));
  const t = vector(xyToXyz(target, target.Y));
  const whole = determinant(a!, b!, c!);
  const scale = Math.max(...[...a!, ...b!, ...c!].map(Math.abs)) ** 3;
  if (!(Math.abs(whole) > 1e-12 * scale)) return null;
  return [
    determinant(t, b!, c!) / whole,
    determinant(a!, t, c!) / whole,
    determinant(a!, b!, t) / whole,
  ];
}

type Vector = readonly [number, number, number];

function vector({ X, Y, Z }: Tristimulus): Vector {
  return [X, Y, Z];
}

function determinant(a: Vector, b: Vector, c: Vector): number {
  return (
    a[0] * (b[1] * c[2] - b[2] * c[1]) -
    b[0] * (a[1] * c[2] - a[2] * c[1]) +
    c[0] * (a[1] * b[2] - a[2] * b[1])
  );
}
