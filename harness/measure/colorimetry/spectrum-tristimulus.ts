import { type Tristimulus, xyzToXy } from './chromaticity.ts';
import { observer1931, observerStart, observerStep } from './cie-1931-observer.ts';
import type { SpectralPower, SpectralQuality } from './spectral-power.ts';

/** Luminous efficacy of monochromatic radiation of 540 THz, lm/W (SI; CIE 15:2004, 7.1). */
const efficacy = 683;
/** m */
const nanometre = 1e-9;
/** What CIE 15 asks of a spectrum: 5 nm at most from value to value, 380 nm to 780 nm; a little less is lost in noise. */
const widestStep = 5.01 * nanometre;
const range = { from: 400 * nanometre, to: 700 * nanometre };

/** Why no colour follows from a spectrum, in a clause; null where one does. */
export function spectrumDoubt({ from, step, values }: SpectralPower): string | null {
  const to = from + (values.length - 1) * step;
  const shown = (metres: number): string => `${Number((metres / nanometre).toPrecision(4))} nm`;
  if (step > widestStep) return `its values are ${shown(step)} apart; colour needs 5 nm or less`;
  if (from > range.from || to < range.to)
    return `it spans ${shown(from)} to ${shown(to)}; colour needs 400 nm to 700 nm at least`;
  return null;
}

/** X, Y, Z of a spectrum, Y in lx: the sum of its values times the CIE 1931 observer at their wavelengths. Source: CIE 15, 7.1. */
export function spectrumTristimulus({ from, step, values }: SpectralPower): Tristimulus {
  let [X, Y, Z] = [0, 0, 0];
  for (let index = 0; index < values.length; index++) {
    const value = values[index] ?? 0;
    const [x, y, z] = observerAt(from + index * step);
    X += value * x;
    Y += value * y;
    Z += value * z;
  }
  const scale = efficacy * step;
  return { X: X * scale, Y: Y * scale, Z: Z * scale };
}

/**
 * Standard uncertainty of x and y each (k = 1): of the certificate, of the wavelengths, and of the bandwidth, which is taken as
 * not corrected: what one more pass through it would change, as a rectangle (JCGM 100:2008, 4.3.7).
 */
export function spectrumUncertainty(spectrum: SpectralPower & SpectralQuality): number {
  const { standardXy = 0, standardWavelength = 0, bandwidth = 0 } = spectrum;
  const own = xyzToXy(spectrumTristimulus(spectrum));
  const movedBy = (other: SpectralPower): number => {
    const { x, y } = xyzToXy(spectrumTristimulus(other));
    return Math.max(Math.abs(x - own.x), Math.abs(y - own.y));
  };
  const shifted =
    standardWavelength > 0 ? movedBy({ ...spectrum, from: spectrum.from + standardWavelength }) : 0;
  const widened = bandwidth > spectrum.step ? movedBy(throughSlit(spectrum, bandwidth)) : 0;
  return Math.hypot(standardXy, shifted, widened / Math.sqrt(3));
}

/** The spectrum as seen through a triangular slit of this full width at half maximum, m. */
export function throughSlit(
  { from, step, values }: SpectralPower,
  bandwidth: number,
): SpectralPower {
  const reach = Math.max(1, Math.ceil(bandwidth / step) - 1);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, index) =>
    Math.max(0, 1 - Math.abs(index - reach) * (step / bandwidth)),
  );
  const sum = weights.reduce((total, weight) => total + weight, 0);
  const smooth = values.map((_, index) => {
    let value = 0;
    for (const [place, weight] of weights.entries())
      value += (weight / sum) * (values[index + place - reach] ?? 0);
    return value;
  });
  return { from, step, values: smooth };
}

type Row = readonly [number, number, number];
const nothing: Row = [0, 0, 0];

/** The observer between its rows by polynomials of third degree through four of them (CIE 15:2004, 7.2.1); 0 outside. */
function observerAt(wavelength: number): Row {
  const place = (wavelength - observerStart) / observerStep;
  const before = Math.floor(place + 1e-6);
  const t = place - before;
  if (before < 0 || before >= observer1931.length) return nothing;
  const at = (offset: number): Row => observer1931[before + offset] ?? nothing;
  if (t < 1e-6) return at(0);
  const weights = [
    (-t * (t - 1) * (t - 2)) / 6,
    ((t + 1) * (t - 1) * (t - 2)) / 2,
    (-(t + 1) * t * (t - 2)) / 2,
    ((t + 1) * t * (t - 1)) / 6,
  ];
  const rows = [at(-1), at(0), at(1), at(2)];
  const mixed = (column: 0 | 1 | 2): number => {
    let sum = 0;
    for (const [index, weight] of weights.entries()) sum += weight * (rows[index]?.[column] ?? 0);
    return Math.max(0, sum);
  };
  return [mixed(0), mixed(1), mixed(2)];
}
