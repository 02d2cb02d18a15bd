/**
 * Chromaticity coordinates.
 * x = X/(X+Y+Z), y = Y/(X+Y+Z); u' = 4x/(-2x+12y+3), v' = 9y/(-2x+12y+3); CIE 1960: u = u', v = 2v'/3.
 * Source: CIE 15 (confirmed: two colour libraries give identical values).
 */
export interface Tristimulus {
  readonly X: number;
  readonly Y: number;
  readonly Z: number;
}

/** CIE 1931. */
export interface Xy {
  readonly x: number;
  readonly y: number;
}

/** CIE 1976: u is u', v is v'. */
export interface Uv1976 {
  readonly u: number;
  readonly v: number;
}

/** CIE 1960. */
export interface Uv1960 {
  readonly u: number;
  readonly v: number;
}

export function xyzToXy({ X, Y, Z }: Tristimulus): Xy {
  const sum = X + Y + Z;
  return { x: X / sum, y: Y / sum };
}

/** Tristimulus values of a chromaticity at luminance or illuminance Y. */
export function xyToXyz({ x, y }: Xy, Y: number): Tristimulus {
  return { X: (x / y) * Y, Y, Z: ((1 - x - y) / y) * Y };
}

export function xyToUv1976({ x, y }: Xy): Uv1976 {
  const divisor = -2 * x + 12 * y + 3;
  return { u: (4 * x) / divisor, v: (9 * y) / divisor };
}

export function uv1976ToXy({ u, v }: Uv1976): Xy {
  const divisor = 6 * u - 16 * v + 12;
  return { x: (9 * u) / divisor, y: (4 * v) / divisor };
}

export function xyToUv1960({ x, y }: Xy): Uv1960 {
  const divisor = -2 * x + 12 * y + 3;
  return { u: (4 * x) / divisor, v: (6 * y) / divisor };
}

export function uv1960ToXy({ u, v }: Uv1960): Xy {
  const divisor = 2 * u - 8 * v + 4;
  return { x: (3 * u) / divisor, y: (2 * v) / divisor };
}

/** Distance in the CIE 1976 diagram. */
export function deltaUv(one: Uv1976, two: Uv1976): number {
  return Math.hypot(one.u - two.u, one.v - two.v);
}
