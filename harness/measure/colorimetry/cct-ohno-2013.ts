import { type Uv1960, uv1960ToXy, type Xy, xyToUv1960 } from './chromaticity.ts';
import { planckianUv } from './planckian-locus.ts';

/** Correlated colour temperature, K, and distance from the Planckian locus in CIE 1960 (above: positive). */
export interface CctDuv {
  readonly cct: number;
  readonly duv: number;
}

/** Temperatures of the table, K: what lamps can be said to have. */
const lowestCct = 1000;
const highestCct = 20000;
/** Each entry is this much hotter than the one before it. */
const tableRatio = 1.01;
/** Beyond this distance the CIE does not define a correlated colour temperature. */
const largestDuv = 0.05;
/** Below this distance the triangular solution is the better one, above it the parabolic (Ohno 2014). */
const triangularBelow = 0.002;

/**
 * CCT and Duv from u, v (CIE 1960): table of the Planckian locus, triangular and parabolic solution, and a second,
 * finer table between the neighbours found first (cascade), which leaves less than 0.1 K.
 * Null outside 1000..20000 K or farther than 0.05 from the locus, where CCT has no meaning.
 * Source: Y. Ohno, "Practical use and calculation of CCT and Duv", LEUKOS 10(1), 2014 (first at CORM 2013); accuracy
 * against an independent library: see the tests.
 */
export function uvToCctOhno2013({ u, v }: Uv1960): CctDuv | null {
  if (!Number.isFinite(u + v)) return null;
  const rough = nearest(table(), { u, v });
  if (!rough) return null;
  const [below, , above] = rough;
  const count = 16;
  const fine = Array.from({ length: count + 1 }, (_, index) =>
    entryAt(below.temperature * (above.temperature / below.temperature) ** (index / count)),
  );
  const close = nearest(fine, { u, v }) ?? rough;
  const triangle = triangular(close, { u, v });
  const solution = Math.abs(triangle.duv) < triangularBelow ? triangle : parabolic(close, { u, v });
  return Math.abs(solution.duv) > largestDuv ? null : solution;
}

export function xyToCctOhno2013(xy: Xy): CctDuv | null {
  return uvToCctOhno2013(xyToUv1960(xy));
}

/** Chromaticity of a CCT and Duv: the locus, then Duv along its normal (difference over 0.01 K as in Ohno 2014). */
export function cctToXyOhno2013({ cct, duv }: CctDuv): Xy {
  const here = planckianUv(cct);
  const next = planckianUv(cct + 0.01);
  const [du, dv] = [here.u - next.u, here.v - next.v];
  const length = Math.hypot(du, dv);
  return uv1960ToXy({ u: here.u - (duv * dv) / length, v: here.v + (duv * du) / length });
}

interface Entry extends Uv1960 {
  readonly temperature: number;
}

type Neighbours = readonly [Entry, Entry, Entry];

let locus: readonly Entry[] | undefined;

function table(): readonly Entry[] {
  const count = Math.ceil(Math.log(highestCct / lowestCct) / Math.log(tableRatio)) + 3;
  locus ??= Array.from({ length: count }, (_, index) =>
    entryAt(lowestCct * tableRatio ** (index - 1)),
  );
  return locus;
}

function entryAt(temperature: number): Entry {
  return { temperature, ...planckianUv(temperature) };
}

/** The nearest entry and its neighbours; null where the nearest is an end of the table. */
function nearest(entries: readonly Entry[], uv: Uv1960): Neighbours | null {
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (const [index, entry] of entries.entries()) {
    const away = distance(entry, uv);
    if (away < least) [best, least] = [index, away];
  }
  const [below, here, above] = [entries[best - 1], entries[best], entries[best + 1]];
  return below && here && above ? [below, here, above] : null;
}

function distance(one: Uv1960, two: Uv1960): number {
  return Math.hypot(one.u - two.u, one.v - two.v);
}

function triangular([below, , above]: Neighbours, uv: Uv1960): CctDuv {
  const one = distance(below, uv);
  const two = distance(above, uv);
  const base = distance(below, above);
  const along = (one ** 2 - two ** 2 + base ** 2) / (2 * base);
  const cct = below.temperature + ((above.temperature - below.temperature) * along) / base;
  const v = below.v + ((above.v - below.v) * along) / base;
  const square = one ** 2 - along ** 2;
  return { cct, duv: Math.sqrt(Math.max(0, square)) * Math.sign(uv.v - v) };
}

function parabolic([below, here, above]: Neighbours, uv: Uv1960): CctDuv {
  const [t0, t1, t2] = [below.temperature, here.temperature, above.temperature];
  const [d0, d1, d2] = [distance(below, uv), distance(here, uv), distance(above, uv)];
  const divisor = (t2 - t1) * (t0 - t2) * (t1 - t0);
  const a = (t0 * (d2 - d1) + t1 * (d0 - d2) + t2 * (d1 - d0)) / divisor;
  const b = -(t0 ** 2 * (d2 - d1) + t1 ** 2 * (d0 - d2) + t2 ** 2 * (d1 - d0)) / divisor;
  const c =
    -(d0 * (t2 - t1) * t1 * t2 + d1 * (t0 - t2) * t0 * t2 + d2 * (t1 - t0) * t0 * t1) / divisor;
  const cct = -b / (2 * a);
  const { v } = planckianUv(cct);
  return { cct, duv: (a * cct ** 2 + b * cct + c) * Math.sign(uv.v - v) };
}
