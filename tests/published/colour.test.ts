import space from 'color-space';
import Color from 'colorjs.io';
import { uv as uvOf, xy as xyOf } from 'colorjs.io/fn';
import { converter } from 'culori';
import { describe, expect, it } from 'vitest';
import {
  cctToXyOhno2013,
  uvToCctOhno2013,
  xyToCctOhno2013,
} from '../../harness/measure/colorimetry/cct-ohno-2013.ts';
import {
  uv1960ToXy,
  uv1976ToXy,
  type Xy,
  xyToUv1960,
  xyToUv1976,
  xyToXyz,
  xyzToXy,
} from '../../harness/measure/colorimetry/chromaticity.ts';
import {
  observer1931,
  observerStart,
  observerStep,
} from '../../harness/measure/colorimetry/cie-1931-observer.ts';
import { lightness } from '../../harness/measure/colorimetry/lightness.ts';
import { mix } from '../../harness/measure/colorimetry/mixing.ts';
import {
  nominalCctOf,
  nominalCcts,
  nominalOffset,
  targetDuv,
} from '../../harness/measure/colorimetry/nominal-cct.ts';
import { planckianUv } from '../../harness/measure/colorimetry/planckian-locus.ts';
import { stepsBetween } from '../../harness/measure/colorimetry/sdcm.ts';
import { uvToDuvPolynomial } from '../../harness/measure/colorimetry/uv-to-duv-polynomial.ts';
import { xyToCctMcCamy1992 } from '../../harness/measure/colorimetry/xy-to-cct-mccamy-1992.ts';

/**
 * Illuminants: x, y (confirmed: CIE data of a colour library), u', v', CCT by McCamy, CCT and Duv by Ohno
 * (confirmed: run of an independent implementation).
 */
const illuminants = [
  ['A', 0.44758, 0.40745, 0.255971, 0.524296, 2857.13, 2855.49, 0.000003],
  ['C', 0.31006, 0.31616, 0.200888, 0.46089, 6770.7, 6774.13, -0.002152],
  ['D50', 0.3457, 0.3585, 0.209179, 0.48808, 5001.01, 5000.7, 0.003193],
  ['D55', 0.33243, 0.34744, 0.204433, 0.480744, 5502.2, 5502.37, 0.003255],
  ['D65', 0.3127, 0.329, 0.19783, 0.46832, 6505.08, 6504.31, 0.003207],
  ['D75', 0.29903, 0.31488, 0.193531, 0.458526, 7500.61, 7505.04, 0.003139],
  ['E', 1 / 3, 1 / 3, 0.210526, 0.473684, 5458.95, 5455.46, -0.004424],
  ['FL2', 0.3721, 0.3751, 0.220275, 0.499615, 4228.84, 4223.39, 0.001768],
  ['FL11', 0.3805, 0.3769, 0.225088, 0.501656, 4008.33, 3999.52, 0.000054],
  ['LED-B1', 0.456, 0.4078, 0.261258, 0.525696, 2730.63, 2732.75, -0.000709],
  ['LED-B3', 0.3756, 0.3723, 0.223691, 0.498883, 4112.09, 4103.01, -0.000653],
] as const;

describe.each(illuminants)('illuminant %s', (_, x, y, u, v, quick, cct, duv) => {
  it("has its u'v' to six decimals", () => {
    const uv = xyToUv1976({ x, y });
    expect(uv.u).toBeCloseTo(u, 6);
    expect(uv.v).toBeCloseTo(v, 6);
  });

  it('has its CCT within 0.1 K and its Duv within 1e-6 of an independent implementation', () => {
    const found = xyToCctOhno2013({ x, y })!;
    expect(Math.abs(found.cct - cct)).toBeLessThan(0.1);
    expect(Math.abs(found.duv - duv)).toBeLessThan(1e-6);
  });

  it("has McCamy's CCT to the printed digit", () => {
    expect(xyToCctMcCamy1992({ x, y })).toBeCloseTo(quick, 2);
  });
});

describe("Ohno's CCT and Duv", () => {
  it('gives 6507.47 K and 0.003223 for (0.1978, 0.3122) (confirmed: docstring of a library, rerun)', () => {
    const found = uvToCctOhno2013({ u: 0.1978, v: 0.3122 })!;
    expect(Math.abs(found.cct - 6507.47)).toBeLessThan(0.05);
    expect(Math.abs(found.duv - 0.003223)).toBeLessThan(2e-6);
  });

  // Computed with an independent library.
  it.each([
    [2700, 0, 0.45986, 0.4106],
    [2700, 0.006, 0.47052, 0.42974],
    [3000, 0, 0.43693, 0.40408],
    [4000, 0, 0.38044, 0.37675],
    [4000, -0.006, 0.37637, 0.36174],
    [5000, 0, 0.3451, 0.35161],
    [6500, 0, 0.31353, 0.32363],
  ])('places %f K, Duv %f', (cct, duv, x, y) => {
    const xy = cctToXyOhno2013({ cct, duv });
    expect(Math.abs(xy.x - x)).toBeLessThan(1e-5);
    expect(Math.abs(xy.y - y)).toBeLessThan(1e-5);
  });

  it('goes there and back from 1010 K to 19 900 K and up to 0.03 off the locus', () => {
    for (let cct = 1010; cct < 19_900; cct *= 1.05) {
      for (const duv of [-0.03, -0.01, -0.003, -0.001, 0, 0.0005, 0.003, 0.01, 0.03]) {
        const found = xyToCctOhno2013(cctToXyOhno2013({ cct, duv }))!;
        expect(Math.abs(found.cct / cct - 1)).toBeLessThan(2e-5);
        expect(Math.abs(found.duv - duv)).toBeLessThan(1e-6);
      }
    }
  });

  it('says nothing of colours that no temperature belongs to', () => {
    expect(xyToCctOhno2013({ x: 0.7, y: 0.29 })).toBeNull();
    expect(xyToCctOhno2013({ x: 0.1, y: 0.8 })).toBeNull();
    expect(xyToCctOhno2013({ x: 0.15, y: 0.05 })).toBeNull();
    expect(xyToCctOhno2013({ x: Number.NaN, y: 0.3 })).toBeNull();
  });

  it('agrees with a second library within 4 K and 2e-4 (its locus is an approximation)', () => {
    for (const [name, x, y] of illuminants) {
      if (!['A', 'D65', 'E', 'FL11'].includes(name)) continue;
      const { X, Y, Z } = xyToXyz({ x, y }, 100);
      const [cct, duv] = space.xyz['cct-duv'](X, Y, Z) as [number, number];
      const found = xyToCctOhno2013({ x, y })!;
      expect(Math.abs(found.cct - cct)).toBeLessThan(4);
      expect(Math.abs(found.duv - duv)).toBeLessThan(2e-4);
    }
  });
});

describe('the polynomial for Duv', () => {
  it('gives 0.003223894 for (0.1978, 0.3122) (computed)', () => {
    expect(uvToDuvPolynomial({ u: 0.1978, v: 0.3122 })).toBeCloseTo(0.003223894, 8);
  });

  it.each([
    ['A', 0.44758, 0.40745, 0.000007],
    ['D65', 0.31271, 0.32902, 0.003213],
    ['D50', 0.34567, 0.3585, 0.003209],
    ['E', 1 / 3, 1 / 3, -0.004421],
    ['FL11', 0.3805, 0.3769, 0.000053],
  ] as const)('gives %s its Duv (computed from five digits of x, y)', (_, x, y, duv) => {
    expect(uvToDuvPolynomial(xyToUv1960({ x, y }))).toBeCloseTo(duv, 6);
  });

  it('is within 2e-5 of zero on the locus from 2700 K to 6500 K', () => {
    for (const cct of [2700, 3000, 4000, 5000, 6500]) {
      expect(Math.abs(uvToDuvPolynomial(planckianUv(cct)))).toBeLessThan(2e-5);
    }
  });
});

describe("McCamy's CCT", () => {
  it('gives 6505.0805913 K for (0.3127, 0.3290) (confirmed: docstring of a library, rerun)', () => {
    expect(xyToCctMcCamy1992({ x: 0.3127, y: 0.329 })).toBeCloseTo(6505.0805913, 6);
  });

  // Computed: error on the Planckian locus.
  it.each([
    [2000, -18.7],
    [2500, -9.8],
    [3000, 4.9],
    [3500, 10],
    [4000, 8.9],
    [5000, 2.9],
    [6500, -0.8],
    [8000, -17.5],
    [10000, -118],
  ])('errs at %f K by %f K', (cct, error) => {
    const found = xyToCctMcCamy1992(uv1960ToXy(planckianUv(cct))) - cct;
    expect(Math.abs(found - error)).toBeLessThan(error === -118 ? 0.5 : 0.1);
  });
});

describe('the CIE 1931 observer', () => {
  it('has the sums of the 1 nm table (confirmed) within 5e-4', () => {
    const sums = [0, 1, 2].map((k) => observer1931.reduce((sum, row) => sum + row[k]!, 0) * 5);
    [106.8655, 106.8569, 106.8923].forEach((expected, k) => {
      expect(Math.abs(sums[k]! - expected)).toBeLessThan(1.5e-3);
    });
  });

  // Confirmed: colour-matching table of a library.
  it.each([
    [400, 0.01431, 0.000396, 0.06785],
    [450, 0.3362, 0.038, 1.77211],
    [460, 0.2908, 0.06, 1.6692],
    [500, 0.0049, 0.323, 0.272],
    [520, 0.06327, 0.71, 0.07825],
    [550, 0.43345, 0.99495, 0.00875],
    [555, 0.51205, 1, 0.00575],
    [580, 0.9163, 0.87, 0.00165],
    [600, 1.0622, 0.631, 0.0008],
    [620, 0.85445, 0.381, 0.00019],
    [650, 0.2835, 0.107, 0],
    [700, 0.011359, 0.004102, 0],
  ])('has its published values at %i nm', (nanometres, x, y, z) => {
    const row = observer1931[Math.round((nanometres * 1e-9 - observerStart) / observerStep)]!;
    expect(row).toEqual([x, y, z]);
  });

  it('agrees with an independent library from 380 to 700 nm to five decimals', () => {
    for (let nanometres = 380; nanometres <= 700; nanometres += 5) {
      const theirs = space.wavelength.xyz(nanometres) as readonly number[];
      const row = observer1931[(nanometres - 360) / 5]!;
      row.forEach((value, k) => {
        expect(Math.abs(value - theirs[k]! / 100)).toBeLessThan(6e-6);
      });
    }
  });

  // Computed with the 1 nm table from 380 to 780 nm.
  it.each([
    [3000, 0.43694, 0.40408],
    [4000, 0.38045, 0.37677],
    [6500, 0.31355, 0.32369],
  ])('places a black body of %f K', (temperature, x, y) => {
    const xy = uv1960ToXy(planckianUv(temperature));
    expect(Math.abs(xy.x - x)).toBeLessThan(1e-4);
    expect(Math.abs(xy.y - y)).toBeLessThan(1e-4);
  });
});

describe('nominal CCTs of ANSI C78.377', () => {
  // Centres confirmed in a trade page's table (its x for 3000 K is a misprint, corrected); CCT and Duv by a library.
  const centres = [
    [2200, 0.5018, 0.4153, 2238.2, 0.00001],
    [2500, 0.4806, 0.4141, 2459.9, -0.00001],
    [2700, 0.4578, 0.4101, 2725.1, -0.00001],
    [3000, 0.4339, 0.4033, 3045.4, 0.00012],
    [3500, 0.4078, 0.393, 3464.5, 0.00046],
    [4000, 0.3813, 0.3797, 3998.5, 0.00113],
    [4500, 0.3613, 0.367, 4503.2, 0.0015],
    [5000, 0.3446, 0.3551, 5030.6, 0.00195],
    [5700, 0.3287, 0.3425, 5665.4, 0.00243],
    [6500, 0.3123, 0.3283, 6531.5, 0.00305],
  ] as const;

  it.each(centres)('%i K has its centre in its own quadrangle', (nominal, x, y, cct, duv) => {
    const found = xyToCctOhno2013({ x, y })!;
    expect(Math.abs(found.cct - cct)).toBeLessThan(0.1);
    expect(Math.abs(found.duv - duv)).toBeLessThan(1e-5);
    expect(nominalCctOf(found)?.nominal).toBe(nominal);
    expect(nominalOffset(found, nominalCcts.find((one) => one.nominal === nominal)!)).toBeLessThan(
      0.06,
    );
  });

  // From memory; reproduces the centres.
  it.each([
    [3045, 0.00012],
    [3465, 0.00047],
    [3985, 0.00098],
    [4503, 0.00148],
    [5029, 0.00195],
    [5667, 0.00247],
    [6532, 0.00306],
    [2700, 0],
  ])('has the target Duv at %f K', (temperature, duv) => {
    expect(targetDuv(temperature)).toBeCloseTo(duv, 5);
  });

  it('knows the edge and the outside of a quadrangle', () => {
    const nominal = nominalCcts.find((one) => one.nominal === 3000)!;
    expect(nominalOffset({ cct: 3045 + 175, duv: targetDuv(3220) }, nominal)).toBeCloseTo(1, 12);
    expect(nominalOffset({ cct: 3045, duv: targetDuv(3045) + 0.009 }, nominal)).toBeCloseTo(
      1.5,
      12,
    );
    expect(nominalCctOf({ cct: 9000, duv: 0 })).toBeNull();
  });
});

describe('steps (SDCM)', () => {
  it("counts 2.006 for Δu'v' = 0.0022068 (computed; one step = 0.0011 from memory)", () => {
    const one = xyToUv1976({ x: 0.3813, y: 0.3797 });
    const two = xyToUv1976({ x: 0.385, y: 0.381 });
    expect(Math.hypot(one.u - two.u, one.v - two.v)).toBeCloseTo(0.0022068, 7);
    expect(stepsBetween(one, two)).toBeCloseTo(2.006, 3);
  });
});

describe('mixing', () => {
  it('adds 60 lm of warm and 40 lm of cool white (computed)', () => {
    const sum = mix([xyToXyz({ x: 0.4578, y: 0.4101 }, 60), xyToXyz({ x: 0.3123, y: 0.3283 }, 40)]);
    expect(sum.X).toBeCloseTo(105.02935, 5);
    expect(sum.Y).toBeCloseTo(100, 9);
    expect(sum.Z).toBeCloseTo(63.11621, 5);
    expect(xyzToXy(sum).x).toBeCloseTo(0.391688, 6);
    expect(xyzToXy(sum).y).toBeCloseTo(0.372932, 6);
  });
});

describe('two independent colour libraries', () => {
  const colours: readonly Xy[] = Array.from({ length: 40 }, (_, k) => ({
    x: 0.16 + 0.013 * k,
    y: 0.65 - 0.0127 * k,
  })).filter(({ x, y }) => x + y < 1);

  it("give the same xy and u'v' to 1e-12", () => {
    for (const { x, y } of colours) {
      const { X, Y, Z } = xyToXyz({ x, y }, 0.5);
      const theirs = new Color('xyz-abs-d65', [203 * X, 203 * Y, 203 * Z]);
      const mine = xyToUv1976({ x, y });
      const [u, v] = uvOf(theirs);
      const [theirX, theirY] = xyOf(theirs);
      expect(Math.abs(mine.u - u)).toBeLessThan(1e-12);
      expect(Math.abs(mine.v - v)).toBeLessThan(1e-12);
      expect(Math.abs(x - theirX)).toBeLessThan(1e-12);
      expect(Math.abs(y - theirY)).toBeLessThan(1e-12);
      const [u2, v2] = space.xyz.uv(X, Y, Z) as [number, number, number];
      expect(Math.abs(mine.u - u2)).toBeLessThan(1e-12);
      expect(Math.abs(mine.v - v2)).toBeLessThan(1e-12);
    }
  });

  it('give the same lightness', () => {
    const toLab = converter('lab65');
    for (const Y of [0.001, 0.0088, 0.0089, 0.01, 0.18, 0.5, 0.9, 1]) {
      const { l } = toLab({ mode: 'xyz65', x: 0.95047 * Y, y: Y, z: 1.08883 * Y });
      expect(Math.abs(lightness(Y) - l)).toBeLessThan(1e-9);
    }
  });

  it('and both diagrams go there and back', () => {
    for (const xy of colours) {
      for (const back of [
        uv1976ToXy(xyToUv1976(xy)),
        uv1960ToXy(xyToUv1960(xy)),
        xyzToXy(xyToXyz(xy, 7)),
      ]) {
        expect(back.x).toBeCloseTo(xy.x, 12);
        expect(back.y).toBeCloseTo(xy.y, 12);
      }
    }
  });
});
