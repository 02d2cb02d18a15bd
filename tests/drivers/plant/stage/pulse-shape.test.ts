import { describe, expect, it } from 'vitest';
import {
  densityFit,
  effectiveDuty,
  pulseArea,
} from '../../../../drivers/plant/stage/pulse-shape.ts';

const shape = {
  riseTime: 10e-9,
  fallTime: 30e-9,
  overshoot: 0,
  overshootTime: 0,
  deadTime: 0,
  shortestPulse: 0,
};

describe('The shape of a current pulse', () => {
  it('gains half the fall and loses half the rise', () => {
    expect(pulseArea(shape, 1e-6)).toBeCloseTo(1e-6 - 5e-9 + 15e-9, 15);
  });

  it('loses the dead time of its driver, and all of a pulse that is shorter', () => {
    const late = { ...shape, deadTime: 20e-9 };
    expect(pulseArea(late, 1e-6)).toBeCloseTo(pulseArea(shape, 0.98e-6), 18);
    expect(pulseArea(late, 15e-9)).toBe(0);
  });

  it('stops rising where the gate goes off', () => {
    // Half way up: a triangle of 5 ns by 0.5, and half the fall from there.
    expect(pulseArea(shape, 5e-9)).toBeCloseTo((0.5 * 5e-9) / 2 + (0.5 * 15e-9) / 2, 15);
  });

  it('adds the triangle of an overshoot that has settled', () => {
    const surge = { ...shape, riseTime: 0, fallTime: 0, overshoot: 0.5, overshootTime: 100e-9 };
    expect(pulseArea(surge, 1e-6)).toBeCloseTo(1e-6 + 0.5 * 0.5 * 100e-9, 15);
  });

  it('gives nothing for pulses below the shortest', () => {
    expect(pulseArea({ ...shape, shortestPulse: 60e-9 }, 50e-9)).toBe(0);
    expect(pulseArea({ ...shape, shortestPulse: 60e-9 }, 60e-9)).toBeGreaterThan(0);
  });

  it('counts edges with the ones below half density and with the zeros above', () => {
    const clock = 10e6;
    const mean = (density: number): number => {
      const { slope, base } = densityFit(shape, clock, density, 256);
      return (slope * density) / 256 + base;
    };
    // One pulse each 256 clocks of 100 ns gains 10 ns; one gap each 256 clocks loses 10 ns of itself.
    expect(mean(1)).toBeCloseTo((1 / 256) * 1.1, 12);
    expect(mean(255)).toBeCloseTo(1 - (1 / 256) * 0.9, 12);
    expect(mean(256)).toBe(1);
    expect(mean(0)).toBe(0);
  });

  it('lengthens a PWM duty by the same area', () => {
    expect(effectiveDuty(shape, 1e5, 0.25)).toBeCloseTo(0.25 + 10e-9 * 1e5, 12);
    expect(effectiveDuty(shape, 1e5, 1)).toBe(1);
  });
});
