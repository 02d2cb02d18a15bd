/**
 * Logarithmic dimming curve of IEC 62386-102: X(n) = 10^((n-1)/(253/3) - 1) %, n = 1..254; 0 is off.
 * Level in: relative light, 0..1. Code: 0..254 (255 is MASK and no level).
 * Source: IEC 62386-102 (formula confirmed in several public sources; reproduces a published table).
 */
const lowestCode = 1;
const highestCode = 254;

/** Codes per decade of light. */
const perDecade = 253 / 3;

/** Relative light of one code over that of the code below it: 10^(3/253). */
export const codeStep = 10 ** (1 / perDecade);

/** Relative light (0..1) of a code; fractions of a code are allowed, 0 and below is off, NaN for MASK and above. */
export function levelOfCode(code: number): number {
  if (!(code <= highestCode)) return Number.NaN;
  return code < lowestCode ? 0 : 10 ** ((code - 1) / perDecade - 3);
}

/** The code of a relative light as a real number, 1..254; 0 for no light; clamped at both ends. */
export function codeOfLevel(level: number): number {
  if (!(level > 0)) return Number.isNaN(level) ? Number.NaN : 0;
  const code = 1 + perDecade * (Math.log10(level) + 3);
  return Math.min(highestCode, Math.max(lowestCode, code));
}

/** Linear curve of LED gear (device type 6): X(n) = 100 n / 254 %. Source: IEC 62386-207 (confirmed in driver code). */
export function linearLevelOfCode(code: number): number {
  return code >= 0 && code <= highestCode ? code / highestCode : Number.NaN;
}
