import { type Xy, xyToUv1976 } from './chromaticity.ts';

/**
 * Standard uncertainty of u' and v' each (the larger) when x and y have `standardXy` each, independent: the partial
 * derivatives of the CIE 1976 transformation by central differences (JCGM 100 5.1.3).
 */
export function standardUv({ x, y }: Xy, standardXy: number): number {
  const step = 1e-6;
  const dx = difference(xyToUv1976({ x: x + step, y }), xyToUv1976({ x: x - step, y }), step);
  const dy = difference(xyToUv1976({ x, y: y + step }), xyToUv1976({ x, y: y - step }), step);
  return standardXy * Math.max(Math.hypot(dx.u, dy.u), Math.hypot(dx.v, dy.v));
}

function difference(
  more: { readonly u: number; readonly v: number },
  less: { readonly u: number; readonly v: number },
  step: number,
) {
  return { u: (more.u - less.u) / (2 * step), v: (more.v - less.v) / (2 * step) };
}
