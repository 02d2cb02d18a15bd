import { describe, expect, it } from 'vitest';
import { xyToUv1976 } from '../../../harness/measure/colorimetry/chromaticity.ts';
import {
  type Covariance,
  covarianceUv,
  coverageEllipse,
} from '../../../harness/measure/colorimetry/uv-covariance.ts';
import { deviates } from '../light-of.ts';

/** √(-2 ln 0.05): the radius that holds 95 % of a round normal distribution in a plane. */
const k = 2.4477468;

/** Covariance of two independent quantities of these standard uncertainties, turned by an angle. */
function turned(long: number, short: number, angle: number): Covariance {
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  return {
    first: (long * cos) ** 2 + (short * sin) ** 2,
    second: (long * sin) ** 2 + (short * cos) ** 2,
    shared: (long ** 2 - short ** 2) * cos * sin,
  };
}

describe('the ellipse that holds 95 %', () => {
  it.each([0, 0.3, Math.PI / 4, 1.2, -0.7, Math.PI / 2])('has its half axes at %f rad', (angle) => {
    const ellipse = coverageEllipse(turned(3e-3, 1e-3, angle));
    expect(ellipse.major).toBeCloseTo(k * 3e-3, 9);
    expect(ellipse.minor).toBeCloseTo(k * 1e-3, 9);
    // An axis has no front: π/2 and -π/2 are one.
    expect(Math.abs(Math.sin(ellipse.angle - angle))).toBeLessThan(1e-9);
  });

  it('is a circle of equal and independent uncertainties, a line of fully shared ones', () => {
    const circle = coverageEllipse({ first: 4e-6, second: 4e-6, shared: 0 });
    expect([circle.major, circle.minor]).toEqual([
      expect.closeTo(k * 2e-3, 9),
      expect.closeTo(k * 2e-3, 9),
    ]);
    const line = coverageEllipse({ first: 1e-6, second: 1e-6, shared: 1e-6 });
    expect(line.major).toBeCloseTo(k * Math.SQRT2 * 1e-3, 9);
    expect(line.minor).toBe(0);
    expect(line.angle).toBeCloseTo(Math.PI / 4, 12);
  });

  it('holds 95 % of points that are drawn so', () => {
    const { major, minor, angle } = coverageEllipse(turned(3, 1, 0.6));
    const next = deviates(7);
    let inside = 0;
    for (let n = 0; n < 40_000; n++) {
      const [along, across] = [3 * next(), next()];
      const [x, y] = [
        along * Math.cos(0.6) - across * Math.sin(0.6),
        along * Math.sin(0.6) + across * Math.cos(0.6),
      ];
      const a = x * Math.cos(angle) + y * Math.sin(angle);
      const b = y * Math.cos(angle) - x * Math.sin(angle);
      if ((a / major) ** 2 + (b / minor) ** 2 <= 1) inside++;
    }
    // 95 % to three standard deviations of such a count.
    expect(Math.abs(inside / 40_000 - 0.95)).toBeLessThan(0.0033);
  });
});

describe('the covariance of u and v', () => {
  it.each([
    { x: 0.4578, y: 0.4101 },
    { x: 0.16, y: 0.05 },
  ])('follows that of x and y through the slopes of the transformation, at %o', ({ x, y }) => {
    const h = 1e-6;
    const slope = (dx: number, dy: number) => {
      const [more, less] = [
        xyToUv1976({ x: x + dx, y: y + dy }),
        xyToUv1976({ x: x - dx, y: y - dy }),
      ];
      return { u: (more.u - less.u) / (2 * h), v: (more.v - less.v) / (2 * h) };
    };
    // What x and y share counts: one error that moves both, and one of y alone.
    const [both, alone] = [slope(2 * h, h), slope(0, h)];
    const found = covarianceUv({ x, y }, { first: 4, second: 2, shared: 2 });
    expect(found.first / (both.u ** 2 + alone.u ** 2)).toBeCloseTo(1, 6);
    expect(found.second / (both.v ** 2 + alone.v ** 2)).toBeCloseTo(1, 6);
    expect(found.shared / (both.u * both.v + alone.u * alone.v)).toBeCloseTo(1, 6);
  });
});
