/**
 * Levels and times of control gear, IEC 62386-102 (ed. 2) 9.3 and 9.5; formulas confirmed in public texts.
 * Light is relative to full, 0..1.
 */

/** Relative light of arc power level 1..254 on the logarithmic curve; 0 for level 0. */
export function lightOfLevel(level: number): number {
  return level <= 0 ? 0 : 10 ** ((level - 1) / (253 / 3) - 3);
}

/** The level whose light is nearest in ratio (a step is 2.77 %); 0 for no light. Light below level 1 gives 1. */
export function nearestLevel(light: number): number {
  if (light <= 0) return 0;
  return Math.min(254, Math.max(1, Math.round(1 + (253 / 3) * (Math.log10(light) + 3))));
}

/** Seconds of fade time code 1..15; 0 for code 0 (no fade). */
export function fadeTimeOf(code: number): number {
  return code <= 0 ? 0 : 0.5 * 2 ** (code / 2);
}

/** Levels per second of fade rate code 1..15. */
export function fadeRateOf(code: number): number {
  return 506 / 2 ** (code / 2);
}

/** How far a wanted fade time may lie from the table's, relative: printed tables round to two or three digits. */
const fadeTimeRounding = 0.015;

/** The code for a fade of `seconds`, or null when the table has none within rounding (0.7 s is code 1). */
export function fadeTimeCode(seconds: number): number | null {
  if (seconds === 0) return 0;
  const code = Math.round(2 * Math.log2(seconds / 0.5));
  if (code < 1 || code > 15) return null;
  return Math.abs(fadeTimeOf(code) / seconds - 1) <= fadeTimeRounding ? code : null;
}
