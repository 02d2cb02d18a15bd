import { describe, expect, it } from 'vitest';
import { uvToCctOhno2013 } from '../../harness/measure/colorimetry/cct-ohno-2013.ts';
import { xyToUv1960, xyzToXy } from '../../harness/measure/colorimetry/chromaticity.ts';
import type { SpectralPower } from '../../harness/measure/colorimetry/spectral-power.ts';
import {
  spectrumDoubt,
  spectrumTristimulus,
} from '../../harness/measure/colorimetry/spectrum-tristimulus.ts';

const nm = 1e-9;

function spectrum(
  from: number,
  to: number,
  step: number,
  at: (nm: number) => number,
): SpectralPower {
  const count = Math.round((to - from) / step) + 1;
  const values = Float64Array.from({ length: count }, (_, index) => at(from + index * step));
  return { from: from * nm, step: step * nm, values };
}

/** CIE 15:2004, 3.1 (ISO 11664-2): illuminant A by its formula. */
function illuminantA(wavelength: number): number {
  const c2 = 1.435e7;
  const t = 2848;
  return (
    100 * (560 / wavelength) ** 5 * (Math.expm1(c2 / (t * 560)) / Math.expm1(c2 / (t * wavelength)))
  );
}

/** CIE 15:2004, table T.1 (ISO 11664-2), D65 every 10 nm from 380 nm on; from memory, held by its own chromaticity below. */
const d65 =
  `49.9755 54.6482 82.7549 91.486 93.4318 86.6823 104.865 117.008 117.812 114.861 115.923 108.811 109.354 107.802
104.79 107.689 104.405 104.046 100 96.3342 95.788 88.6856 90.0062 89.5991 87.6987 83.2886 83.6992 80.0268 80.2146 82.2778
78.2842 69.7213 71.6091 74.349 61.604 69.8856 75.087 63.5927 46.4182 66.8054 63.3828`
    .split(/\s+/)
    .map(Number);

/** Linear between its values, as CIE 15 defines it. */
function illuminantD65(wavelength: number): number {
  const place = (wavelength - 380) / 10;
  const before = Math.floor(place);
  const [low = 0, high = low] = [d65[before], d65[before + 1]];
  return low + (place - before) * (high - low);
}

describe('colour from a spectrum', () => {
  it.each([1, 2, 5])(
    'of illuminants A, D65 and E every %s nm: CIE 15, x and y to four digits',
    (step) => {
      const a = xyzToXy(spectrumTristimulus(spectrum(380, 780, step, illuminantA)));
      expect([a.x, a.y].map((value) => value.toFixed(4))).toEqual(['0.4476', '0.4074']);
      const d = xyzToXy(spectrumTristimulus(spectrum(380, 780, step, illuminantD65)));
      expect(Math.abs(d.x - 0.3127)).toBeLessThan(1e-4);
      expect(Math.abs(d.y - 0.329)).toBeLessThan(1e-4);
      const e = xyzToXy(spectrumTristimulus(spectrum(380, 780, step, () => 1)));
      expect(Math.abs(e.x - 1 / 3)).toBeLessThan(1e-4);
      expect(Math.abs(e.y - 1 / 3)).toBeLessThan(1e-4);
    },
  );

  it('sums the observer at 1 nm to what CIE 15 prints: 106.8655, 106.8569, 106.8923', () => {
    const { X, Y, Z } = spectrumTristimulus(spectrum(360, 830, 1, () => 1));
    const sums = [X, Y, Z].map((value) => value / (683 * nm));
    expect(sums[0]).toBeCloseTo(106.8655, 2);
    expect(sums[1]).toBeCloseTo(106.8569, 2);
    expect(sums[2]).toBeCloseTo(106.8923, 2);
  });

  it('gives 683 lx for a watt a square metre at 555 nm (SI, candela)', () => {
    const line = spectrum(380, 780, 1, (at) => (at === 555 ? 1 / nm : 0));
    expect(spectrumTristimulus(line).Y).toBeCloseTo(683, 6);
  });

  it('of illuminant A has a colour temperature of 2856 K (CIE 15, 3.1)', () => {
    const uv = xyToUv1960(xyzToXy(spectrumTristimulus(spectrum(380, 780, 1, illuminantA))));
    expect(uvToCctOhno2013(uv)?.cct).toBeCloseTo(2855.5, -0.5);
  });

  it('does not follow from a coarse or a short one', () => {
    expect(spectrumDoubt(spectrum(380, 780, 5, () => 1))).toBeNull();
    expect(spectrumDoubt(spectrum(380, 780, 10, () => 1))).toMatch(/10 nm apart/);
    expect(spectrumDoubt(spectrum(420, 780, 5, () => 1))).toMatch(/spans 420 nm to 780 nm/);
  });
});
