/** Luminance to which the eye is adapted, cd/m²: bright indoors, where the eye sees fine patterns best. */
const luminance = 1000;
/** Area of the pattern, square degrees. */
const area = 100;

/**
 * Contrast sensitivity of the eye at rest: one over the modulation of a sine grating that is just seen.
 *
 * S(u) = 5200 exp(-0.0016 u² (1 + 100/L)^0.08) / √((1 + 144/X0² + 0.64 u²) (63/L^0.83 + 1/(1 - exp(-0.02 u²))))
 *
 * @param u spatial frequency, cycles a degree
 * Source: P. G. J. Barten, "Formula for the contrast sensitivity of the human eye", Proc. SPIE 5294, 2004 (from memory).
 */
export function contrastSensitivity(u: number, L = luminance, X0squared = area): number {
  const optics = 5200 * Math.exp(-0.0016 * u * u * (1 + 100 / L) ** 0.08);
  const noise = 63 / L ** 0.83 + 1 / (1 - Math.exp(-0.02 * u * u));
  return optics / Math.sqrt((1 + 144 / X0squared + 0.64 * u * u) * noise);
}

/** Speed of the eye in a large saccade, degrees a second (textbook figure, from memory). */
export const saccade = 500;

/**
 * The modulation of light at which its streak in a saccade has the contrast of a grating at rest that is just seen: light of
 * f Hz draws f / speed cycles a degree.
 *
 * @param frequency Hz
 */
export function streakThreshold(frequency: number, speed: number): number {
  return 1 / contrastSensitivity(frequency / speed);
}
