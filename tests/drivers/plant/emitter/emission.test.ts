import { describe, expect, it } from 'vitest';
import { emission } from '../../../../drivers/plant/emitter/emission.ts';
import { Thermal, type ThermalTraits } from '../../../../drivers/plant/emitter/thermal.ts';
import type { EmitterTraits } from '../../../../drivers/plant/emitter/traits.ts';

const emitter: EmitterTraits = {
  flux: 1,
  droop: 0.25,
  lightPerKelvin: -0.002,
  xy: [0.3123, 0.3283],
  xyPerLogCurrent: [-0.003, -0.004],
  xyPerKelvin: [1e-4, -1e-4],
  forwardVoltage: 33,
  dynamicResistance: 5,
};
const nominal = { lumen: 680, current: 0.7 };

describe('The emitter', () => {
  it('has its nominal light and chromaticity at nominal current and reference temperature', () => {
    expect(emission(emitter, nominal, 0.7, 0)).toEqual({ lumen: 680, x: 0.3123, y: 0.3283 });
  });

  it('is more efficient at low current, up to 1 + droop', () => {
    const tenth = emission(emitter, nominal, 0.07, 0);
    expect(tenth.lumen / 68).toBeCloseTo(1.25 / 1.025, 9);
    expect(emission(emitter, nominal, 0.7e-6, 0).lumen / 680e-6).toBeCloseTo(1.25, 5);
  });

  it('shifts its chromaticity with the logarithm of the current', () => {
    const { x, y } = emission(emitter, nominal, 0.7 / Math.E, 0);
    expect(x).toBeCloseTo(0.3153, 9);
    expect(y).toBeCloseTo(0.3323, 9);
  });

  it('loses light and shifts with temperature', () => {
    const hot = emission(emitter, nominal, 0.7, 50);
    expect(hot.lumen).toBeCloseTo(612, 9);
    expect(hot.x).toBeCloseTo(0.3173, 9);
  });

  it('is dark without current', () => {
    expect(emission(emitter, nominal, 0, 0).lumen).toBe(0);
  });
});

describe('The LED board', () => {
  it('warms up by R P with its time constant, whatever the steps', () => {
    const traits: ThermalTraits = {
      ...{ ambient: 25, reference: 25, resistance: 0.5, timeConstant: 100 },
      sensor: 'sound',
    };
    const one = new Thermal(traits);
    one.step(100, 40);
    expect(one.temperature).toBeCloseTo(25 + 20 * (1 - Math.exp(-1)), 9);
    const many = new Thermal(traits);
    for (let i = 0; i < 1000; i++) many.step(0.1, 40);
    expect(many.temperature).toBeCloseTo(one.temperature, 9);
    one.step(1e6, 0);
    expect(one.temperature).toBeCloseTo(25, 9);
  });
});
