import type { Xy } from './chromaticity.ts';

/** Covariance of two coordinates: both variances, and what they share. */
export interface Covariance {
  readonly first: number;
  readonly second: number;
  readonly shared: number;
}

/**
 * Covariance of u' and v' from that of x and y about a chromaticity, by the partial derivatives of the CIE 1976 transformation (closed
 * form). Source: the law of propagation for two quantities at once, JCGM 102:2011 6.2 (clause from memory).
 */
export function covarianceUv({ x, y }: Xy, { first, second, shared }: Covariance): Covariance {
  const square = (-2 * x + 12 * y + 3) ** 2;
  const [ux, uy] = [(48 * y + 12) / square, (-48 * x) / square];
  const [vx, vy] = [(18 * y) / square, (27 - 18 * x) / square];
  return {
    first: ux * ux * first + 2 * ux * uy * shared + uy * uy * second,
    second: vx * vx * first + 2 * vx * vy * shared + vy * vy * second,
    shared: ux * vx * first + (ux * vy + uy * vx) * shared + uy * vy * second,
  };
}

export function sumOfCovariances(all: readonly Covariance[]): Covariance {
  const sum = (key: keyof Covariance) => all.reduce((total, one) => total + one[key], 0);
  return { first: sum('first'), second: sum('second'), shared: sum('shared') };
}

/** Half axes of an ellipse, and the angle of the longer one to the first coordinate, rad. */
export interface Ellipse {
  readonly major: number;
  readonly minor: number;
  readonly angle: number;
}

/** A point is this many standard uncertainties along an axis, at most, in 95 % of a plane's normal distribution: √(-2 ln 0.05). */
const coverage = Math.sqrt(-2 * Math.log(0.05));

/**
 * The ellipse that holds two quantities to 95 %: along the eigenvectors of their covariance, by the roots of its eigenvalues.
 * Source: JCGM 102:2011 6.5.2 (k = 2.45 for two quantities that are jointly normal; clause from memory, the figure computed).
 */
export function coverageEllipse({ first, second, shared }: Covariance): Ellipse {
  const middle = (first + second) / 2;
  const apart = Math.hypot((first - second) / 2, shared);
  return {
    major: coverage * Math.sqrt(Math.max(0, middle + apart)),
    minor: coverage * Math.sqrt(Math.max(0, middle - apart)),
    angle: Math.atan2(2 * shared, first - second) / 2,
  };
}
