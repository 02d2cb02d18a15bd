import { type Uv1960, xyToUv1960, xyzToXy } from './chromaticity.ts';
import { observer1931, observerStart, observerStep } from './cie-1931-observer.ts';

/** Second radiation constant, m K (ITS-90, as CIE 15 has it). */
const c2 = 1.4388e-2;

/**
 * Chromaticity (CIE 1960 u, v) of a black body at `temperature` K: Planck's spectrum weighted with the CIE 1931
 * observer, summed every 5 nm from 360 to 830 nm.
 * Source: CIE 15 9.5 (correlated colour temperature); against an independent library's values: see the tests.
 */
export function planckianUv(temperature: number): Uv1960 {
  let X = 0;
  let Y = 0;
  let Z = 0;
  // Relative to the strongest wavelength in the range: low temperatures would underflow otherwise.
  const reference = c2 / (580e-9 * temperature);
  observer1931.forEach(([x, y, z], index) => {
    const wavelength = observerStart + index * observerStep;
    const exponent = c2 / (wavelength * temperature);
    const power = (wavelength / 580e-9) ** -5 * (Math.expm1(reference) / Math.expm1(exponent));
    X += x * power;
    Y += y * power;
    Z += z * power;
  });
  return xyToUv1960(xyzToXy({ X, Y, Z }));
}
