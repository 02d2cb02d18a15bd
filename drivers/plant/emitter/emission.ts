import type { EmitterTraits } from './traits.ts';

/** Light of one channel. */
export interface Emission {
  /** lm */
  readonly lumen: number;
  /** CIE 1931 */
  readonly x: number;
  readonly y: number;
}

/** Currents below this part of the nominal one shift chromaticity no further: the logarithm has to end somewhere. */
const lowestRatio = 1e-4;

/**
 * Light of LEDs at a constant current. Flux = nominal * r (1 + droop) / (1 + droop r) * (1 + k (T - T_ref)) with
 * r = I / I_nominal; (x, y) move with ln r and with temperature. Shapes: common practice, no source; figures invented.
 */
export function emission(
  emitter: EmitterTraits,
  nominal: { readonly lumen: number; readonly current: number },
  current: number,
  kelvinAboveReference: number,
): Emission {
  const r = Math.max(0, current / nominal.current);
  const { droop, lightPerKelvin, xy, xyPerLogCurrent, xyPerKelvin } = emitter;
  const efficacy = ((1 + droop) / (1 + droop * r)) * (1 + lightPerKelvin * kelvinAboveReference);
  const shift = Math.log(Math.max(lowestRatio, r));
  return {
    lumen: nominal.lumen * emitter.flux * r * Math.max(0, efficacy),
    x: xy[0] + xyPerLogCurrent[0] * shift + xyPerKelvin[0] * kelvinAboveReference,
    y: xy[1] + xyPerLogCurrent[1] * shift + xyPerKelvin[1] * kelvinAboveReference,
  };
}
