/**
 * CIE 1976 lightness L* of a relative luminance t = Y/Yn (0..1): 116 f(t) - 16, with f = t^(1/3) above (6/29)^3 and
 * 841/108 t + 4/29 below. L* is defined for object colours; its use for dimming is a convention, no recommendation.
 * Source: CIE 15 8.2.1 (confirmed against independent colour libraries).
 */
export function lightness(relative: number): number {
  const root = relative > limit ? Math.cbrt(relative) : (841 / 108) * relative + 4 / 29;
  return 116 * root - 16;
}

/** The relative luminance that has a lightness, 0 below L* 0: the inverse of `lightness`. Source: as there, by solving for t. */
export function relativeOfLightness(value: number): number {
  const root = (Math.max(0, value) + 16) / 116;
  const cube = root ** 3;
  return cube > limit ? cube : (108 / 841) * (root - 4 / 29);
}

/** (6/29)^3, where cube root and line meet. */
const limit = (6 / 29) ** 3;
