import { describe, expect, it } from 'vitest';
import { mainsShape } from '../../../../drivers/plant/stage/mains-current.ts';

/** Power factor and harmonics (over the fundamental) of a waveform against a sine voltage, by summing one period. */
function analysed(shape: (angle: number) => number): {
  power: number;
  factor: number;
  third: number;
} {
  const steps = 20_000;
  let power = 0;
  let square = 0;
  const sines = [0, 0, 0, 0];
  for (let i = 0; i < steps; i++) {
    const angle = (2 * Math.PI * (i + 0.5)) / steps;
    const current = shape(angle);
    power += (Math.sin(angle) * current) / steps;
    square += (current * current) / steps;
    for (const h of [1, 3]) sines[h]! += (2 * current * Math.sin(h * angle)) / steps;
  }
  return {
    power,
    factor: power / (Math.SQRT1_2 * Math.sqrt(square)),
    third: Math.abs(sines[3]! / sines[1]!),
  };
}

describe('The mains current', () => {
  it('brings a mean power of 1 whatever its shape', () => {
    for (const shape of [
      mainsShape(0, 0),
      mainsShape(0, 0.2),
      mainsShape(0.5, 0),
      mainsShape(0.9, 0),
    ]) {
      expect(analysed(shape).power).toBeCloseTo(1, 5);
    }
  });

  it('has a power factor of 1 / sqrt(1 + THD^2) with a third harmonic in phase (IEC 61000-3-2 definitions, computed)', () => {
    const { factor, third } = analysed(mainsShape(0, 0.2));
    expect(third).toBeCloseTo(0.2, 6);
    expect(factor).toBeCloseTo(1 / Math.sqrt(1.04), 6);
  });

  it('has a poor power factor and much third harmonic from a rectifier with a capacitor', () => {
    const { factor, third } = analysed(mainsShape(0.93, 0));
    // Common practice, no source: 0.5 to 0.65 without correction.
    expect(factor).toBeGreaterThan(0.5);
    expect(factor).toBeLessThan(0.65);
    expect(third).toBeGreaterThan(0.8);
  });

  it('does not flow below the angle of conduction', () => {
    const shape = mainsShape(0.85, 0);
    expect(shape(Math.asin(0.84))).toBe(0);
    expect(shape(Math.asin(0.86))).toBeGreaterThan(0);
    expect(shape(Math.PI + Math.asin(0.86))).toBeLessThan(0);
  });
});
