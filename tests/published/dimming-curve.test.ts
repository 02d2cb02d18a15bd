import { describe, expect, it } from 'vitest';
import { lightOfLevel, nearestLevel } from '../../drivers/dali/levels.ts';
import { lightness } from '../../harness/measure/colorimetry/lightness.ts';

/** Light of one level over that of the level below it. */
const levelStep = 10 ** (3 / 253);

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
  ])('gives level %i the light %f %%', (level, percent) => {
    expect((100 * lightOfLevel(level)).toFixed(6)).toBe(percent.toFixed(6));
  });

  // Confirmed: a post that quotes a printed table.
  it.each([
    [10, '0.128', 3],
    [127, '3.12', 2],
    [229, '50.53', 2],
    [244, '76.11', 2],
  ] as const)('agrees with the printed table at level %i', (level, printed, digits) => {
    expect((100 * lightOfLevel(level)).toFixed(digits)).toBe(printed);
  });

  // Computed: 85.333, 169.667, 195.054, 228.613, 243.463 and 250.141.
  it.each([
    [0.01, 85],
    [0.1, 170],
    [0.2, 195],
    [0.5, 229],
    [0.75, 243],
    [0.9, 250],
  ])('finds light %f next to level %i', (light, level) => {
    expect(nearestLevel(light)).toBe(level);
  });

  it('has steps of 2.76795 % (computed: 10^(3/253))', () => {
    expect(100 * (levelStep - 1)).toBeCloseTo(2.76795, 5);
    for (let level = 1; level < 254; level++) {
      expect(lightOfLevel(level + 1) / lightOfLevel(level)).toBeCloseTo(levelStep, 12);
    }
  });

  it('goes there and back, clamps at its ends, and knows off', () => {
    for (let level = 0; level <= 254; level++)
      expect(nearestLevel(lightOfLevel(level))).toBe(level);
    expect(nearestLevel(-1)).toBe(0);
    expect(nearestLevel(1e-9)).toBe(1);
    expect(nearestLevel(2)).toBe(254);
  });

  it('is halfway in time at 3.16 % (computed: level 127.5)', () => {
    expect(100 * lightOfLevel(127.5)).toBeCloseTo(3.16, 2);
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

  it('never falls', () => {
    for (let step = 1; step <= 1000; step++) {
      const relative = step / 1000;
      expect(lightness(relative)).toBeGreaterThan(lightness(relative - 0.001));
    }
  });

  it('has its largest step of the logarithmic curve, 1.051, at the top (computed)', () => {
    const steps = Array.from(
      { length: 253 },
      (_, index) => lightness(lightOfLevel(index + 2)) - lightness(lightOfLevel(index + 1)),
    );
    expect(Math.max(...steps)).toBeCloseTo(1.051, 3);
    expect(steps.indexOf(Math.max(...steps))).toBe(252);
  });
});
