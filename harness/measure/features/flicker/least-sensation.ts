import type { LitRecord } from './lit-record.ts';

/** ∫ |H|² df over all frequencies of band and weighting of the light flickermeter, Hz (computed). */
const sensationBandwidth = 2.7;
/** Largest |H| of them, at 9.95 Hz (computed). */
const largestResponse = 0.4365;

/**
 * The least constant sensation P_inst that a record would have shown: its noise's own, and that of a wave of half a code at the
 * most sensitive frequency, which rounding may hide where no noise moves the light over the codes' edges.
 *
 * @param scale of the sensation
 */
export function leastSensation({ waveform, analysis }: LitRecord, scale: number): number {
  const { rate, step = 0 } = waveform;
  const { noise, spectrum } = analysis;
  const scatter = (noise / spectrum.mean) ** 2 * (2 / rate) * sensationBandwidth;
  const dither = Math.max(0, noise ** 2 - step ** 2 / 12);
  // An error within half a code has no sine above that of a square wave; noise before the rounding spreads it (Widrow).
  const spread = step > 0 ? Math.exp((-2 * Math.PI ** 2 * dither) / step ** 2) : 0;
  const hidden = (2 / Math.PI) * step * spread;
  const rounded = ((hidden / spectrum.mean) * largestResponse) ** 2 / 2;
  return scale * (scatter + rounded);
}
