/**
 * Fade times and rates of IEC 62386-102 9.5: T = sqrt(2^n) / 2 s, F = 506 / sqrt(2^n) steps/s, n = 1..15.
 * Source: IEC 62386-102 9.5 (confirmed in public sources that quote it). Tolerance 10 % (from memory).
 */
const fadeCodes = 15;

/** Fade time of a code, s; 0 for code 0 (no fade, or the extended fade time), NaN for what is no code. */
export function fadeTimeOfCode(code: number): number {
  return isCode(code) ? (code === 0 ? 0 : 0.5 * Math.sqrt(2 ** code)) : Number.NaN;
}

/** Fade rate of a code 1..15, steps/s; NaN otherwise. */
export function fadeRateOfCode(code: number): number {
  return isCode(code) && code > 0 ? 506 / Math.sqrt(2 ** code) : Number.NaN;
}

/** The code whose time is nearest in ratio; 0 for half the shortest time and less. */
export function codeOfFadeTime(seconds: number): number {
  if (!(seconds >= fadeTimeOfCode(1) / 2)) return Number.isNaN(seconds) ? Number.NaN : 0;
  return Math.min(fadeCodes, Math.max(1, Math.round(2 * Math.log2(2 * seconds))));
}

/** Extended fade time: base 1..16 times 0 (no fade), 0.1 s, 1 s, 10 s or 1 min (from memory). */
export function extendedFadeTime(base: number, multiplier: number): number {
  const unit = [0, 0.1, 1, 10, 60][multiplier];
  return unit !== undefined && Number.isInteger(base) && base >= 1 && base <= 16
    ? base * unit
    : Number.NaN;
}

function isCode(code: number): boolean {
  return Number.isInteger(code) && code >= 0 && code <= fadeCodes;
}
