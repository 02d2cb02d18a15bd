import { describe, expect, it } from 'vitest';
import { lightness, luminanceOfLightness } from '../../harness/measure/colorimetry/lightness.ts';
import {
  codeOfLevel,
  codeStep,
  levelOfCode,
  linearLevelOfCode,
} from '../../harness/measure/features/fade/dali-curve.ts';

describe('the logarithmic dimming curve of IEC 62386-102', () => {
  // Formula confirmed in public sources; the rows are computed from it to six decimals of a per cent.
  it.each([
    [1, 0.1],
    [2, 0.102768],
    [3, 0.105613],
    [10, 0.127855],
    [20, 0.167995],
    [50, 0.38109],
    [60, 0.500731],
    [85, 0.99094],
    [86, 1.018369],
    [100, 1.492496],
    [126, 3.035383],
    [127, 3.119401],
    [128, 3.205744],
    [144, 4.961948],
    [150, 5.845187],
    [170, 10.091427],
    [180, 13.259576],
    [195, 19.970791],
    [200, 22.892003],
    [210, 30.078825],
    [220, 39.521912],
    [229, 50.530932],
    [235, 59.525569],
    [254, 100],
  ])('gives code %i the light %f %%', (code, percent) => {
    expect((100 * levelOfCode(code)).toFixed(6)).toBe(percent.toFixed(6));
  });

  // Confirmed: a post that quotes a printed table.
  it.each([
    [10, '0.128', 3],
    [127, '3.12', 2],
    [229, '50.53', 2],
    [244, '76.11', 2],
  ] as const)('agrees with the printed table at code %i', (code, printed, digits) => {
    expect((100 * levelOfCode(code)).toFixed(digits)).toBe(printed);
  });

  // Computed.
  it.each([
    [0.01, 85.333],
    [0.1, 169.667],
    [0.2, 195.054],
    [0.5, 228.613],
    [0.75, 243.463],
    [0.9, 250.141],
  ])('finds light %f at code %f', (level, code) => {
    expect(codeOfLevel(level)).toBeCloseTo(code, 3);
  });

  it('has steps of 2.76795 % (computed: 10^(3/253))', () => {
    expect(100 * (codeStep - 1)).toBeCloseTo(2.76795, 5);
    for (let code = 1; code < 254; code++) {
      expect(levelOfCode(code + 1) / levelOfCode(code)).toBeCloseTo(codeStep, 12);
    }
  });

  it('goes there and back, clamps at its ends, and knows off and MASK', () => {
    for (let code = 1; code <= 254; code++)
      expect(codeOfLevel(levelOfCode(code))).toBeCloseTo(code, 9);
    expect(levelOfCode(0)).toBe(0);
    expect(levelOfCode(255)).toBeNaN();
    expect(codeOfLevel(0)).toBe(0);
    expect(codeOfLevel(-1)).toBe(0);
    expect(codeOfLevel(1e-9)).toBe(1);
    expect(codeOfLevel(2)).toBe(254);
    expect(codeOfLevel(Number.NaN)).toBeNaN();
  });

  it('is halfway in time at 3.16 % (computed: code 127.5)', () => {
    expect(100 * levelOfCode(127.5)).toBeCloseTo(3.16, 2);
  });

  it('has a linear sister of n/254 (IEC 62386-207, confirmed in driver code)', () => {
    expect(100 * linearLevelOfCode(1)).toBeCloseTo(0.3937, 4);
    expect(linearLevelOfCode(254)).toBe(1);
    expect(linearLevelOfCode(255)).toBeNaN();
  });
});

describe('CIE 1976 lightness', () => {
  // Computed; two colour libraries agree to 1e-12.
  it.each([
    [0.001, 0.903296],
    [0.01, 8.991442],
    [0.18, 49.496108],
    [0.2, 51.837],
    [0.5, 76.069261],
    [0.9, 95.997],
    [1, 100],
    [0, 0],
  ])('of %f is %f', (relative, expected) => {
    expect(lightness(relative)).toBeCloseTo(
      expected,
      expected === 51.837 || expected === 95.997 ? 3 : 6,
    );
  });

  it.each([
    [1, 0.0011071],
    [5, 0.0055353],
    [8, 0.0088565],
    [10, 0.0112602],
    [25, 0.0441548],
    [50, 0.1841865],
    [75, 0.482781],
    [90, 0.7630335],
    [100, 1],
  ])('%f belongs to %f (computed)', (star, relative) => {
    expect(luminanceOfLightness(star)).toBeCloseTo(relative, 7);
  });

  it('goes there and back and never falls', () => {
    for (let step = 1; step <= 1000; step++) {
      const relative = step / 1000;
      expect(luminanceOfLightness(lightness(relative))).toBeCloseTo(relative, 12);
      expect(lightness(relative)).toBeGreaterThan(lightness(relative - 0.001));
    }
  });

  it('has its largest step of the logarithmic curve, 1.051, at the top (computed)', () => {
    const steps = Array.from(
      { length: 253 },
      (_, index) => lightness(levelOfCode(index + 2)) - lightness(levelOfCode(index + 1)),
    );
    expect(Math.max(...steps)).toBeCloseTo(1.051, 3);
    expect(steps.indexOf(Math.max(...steps))).toBe(252);
  });
});
