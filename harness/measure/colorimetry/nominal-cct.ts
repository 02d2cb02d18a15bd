import type { CctDuv } from './cct-ohno-2013.ts';

/** A nominal CCT: its target and the half-width of its range, K. */
export interface NominalCct {
  readonly nominal: number;
  readonly target: number;
  readonly tolerance: number;
}

/** Source: ANSI C78.377 (2015/2017), confirmed in a trade page's table. */
export const nominalCcts: readonly NominalCct[] = [
  { nominal: 2200, target: 2238, tolerance: 102 },
  { nominal: 2500, target: 2460, tolerance: 120 },
  { nominal: 2700, target: 2725, tolerance: 145 },
  { nominal: 3000, target: 3045, tolerance: 175 },
  { nominal: 3500, target: 3465, tolerance: 245 },
  { nominal: 4000, target: 3985, tolerance: 275 },
  { nominal: 4500, target: 4503, tolerance: 243 },
  { nominal: 5000, target: 5029, tolerance: 283 },
  { nominal: 5700, target: 5667, tolerance: 355 },
  { nominal: 6500, target: 6532, tolerance: 510 },
];

/** Half-width in Duv (from memory). */
export const duvTolerance = 0.006;

/** Target Duv of a temperature, K (from memory; reproduces the published centres). */
export function targetDuv(temperature: number): number {
  return temperature < 2870 ? 0 : 57700 / temperature ** 2 - 44.6 / temperature + 0.00854;
}

/** How far a colour lies from the middle of a nominal CCT's quadrangle: 0 in the middle, 1 on its edge. */
export function nominalOffset({ cct, duv }: CctDuv, { target, tolerance }: NominalCct): number {
  const alongCct = Math.abs(cct - target) / tolerance;
  const alongDuv = Math.abs(duv - targetDuv(cct)) / duvTolerance;
  return Math.max(alongCct, alongDuv);
}

/** The nominal CCT whose quadrangle the colour is in, or null. */
export function nominalCctOf(colour: CctDuv): NominalCct | null {
  const sorted = nominalCcts.toSorted(
    (a, b) => nominalOffset(colour, a) - nominalOffset(colour, b),
  );
  const [best] = sorted;
  return best && nominalOffset(colour, best) <= 1 ? best : null;
}
