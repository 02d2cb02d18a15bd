import { describe, expect, test } from 'vitest';
import { connectInputs } from '../../../../drivers/plant/analogue-inputs.ts';
import { findFault } from '../../../../drivers/plant/faults/faults.ts';
import { loadFirmware } from '../../../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../../../drivers/plant/firmware/open-firmware.ts';
import { healthyModel } from '../../../../drivers/plant/model.ts';
import { Simulation } from '../../../../drivers/plant/simulation.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import { buildSource } from '../../../firmware/build-firmware.ts';
import { bareLamp, mean } from '../instruments/test-bench.ts';

const converter = await loadFirmware(buildSource('sources/converter.c'), 'converter.wasm');
const pwm = { kind: 'pwm', bits: 10, frequency: 1250, phaseShift: 0 } as const;

/** Every reading of half a second; `celsius` is the air about the lamp. */
async function readings(
  adc: NonNullable<Lamp['adc']>,
  { celsius = 25, fault = '' } = {},
): Promise<(name: string) => readonly number[]> {
  const lamp: Lamp = { ...bareLamp, modulation: pwm, adc };
  const model = healthyModel(lamp, 1);
  model.thermal.ambient = celsius;
  findFault(fault)?.apply(model, 1, lamp);
  const simulation = new Simulation(lamp, model, openFirmware(converter));
  connectInputs({ lamp, model, simulation });
  const all = new Map<string, number[]>();
  simulation.onProbed = (_, name, __, value) => {
    all.set(name, [...(all.get(name) ?? []), value]);
  };
  simulation.setSource(48);
  simulation.setPower(true);
  await simulation.runUntil(0.5);
  return (name) => all.get(name) ?? [];
}

describe('the converter', () => {
  test('reads the thermistor by its own curve', async () => {
    // 10 kΩ over 20 kΩ at 25 °C; 3,588 Ω at 50 °C (B 3950 K, computed).
    const warm = (await readings({}))('temperature');
    expect(mean(warm) / 4096).toBeCloseTo(0.5, 2);
    const hot = (await readings({}, { celsius: 50 }))('temperature');
    expect(mean(hot) / 4096).toBeCloseTo(3588 / 13_588, 2);
  });

  test('reads the supply, and 0 where nothing is connected', async () => {
    const told = await readings({ bits: 16 });
    expect(mean(told('supply')) / 65536).toBeCloseTo(48 / (1.5 * 52), 4);
    expect(new Set(told('none'))).toEqual(new Set([0]));
  });

  test('resolves as many bits as the lamp file says', async () => {
    expect(new Set((await readings({ bits: 8 }))('supply'))).toEqual(
      new Set([Math.floor((256 * 48) / 78)]),
    );
  });

  test('has the noise that the lamp file says, and none without', async () => {
    const deviation = (values: readonly number[]): number => {
      const middle = mean(values);
      return Math.sqrt(mean(values.map((value) => (value - middle) ** 2)));
    };
    // In 16 bits, so that rounding is nothing beside it.
    const noisy = (await readings({ bits: 16, noise: 40 }))('supply');
    expect(deviation(noisy)).toBeGreaterThan(35);
    expect(deviation(noisy)).toBeLessThan(45);
    expect(deviation((await readings({ bits: 16 }))('supply'))).toBe(0);
  });

  test('samples a current wherever its pulses are at the call, or in the middle of them', async () => {
    const on = 0.5;
    const atCall = (await readings({}))('current').map((code) => code / 4096);
    // Four ticks in five periods: one of them finds a quarter on.
    expect(atCall.filter((part) => part > 0.9 * on).length / atCall.length).toBeCloseTo(0.25, 1);
    expect(atCall.filter((part) => part < 0.1 * on).length / atCall.length).toBeCloseTo(0.75, 1);
    const midPulse = (await readings({ sampling: 'mid-pulse' }))('current').slice(3);
    expect(Math.min(...midPulse) / 4096).toBeGreaterThan(0.97 * on);
    expect(Math.max(...midPulse) / 4096).toBeLessThan(1.03 * on);
  });

  test.each([
    ['sensor-open', 4095, -55],
    ['sensor-shorted', 0, 160],
  ])('shows %s at the end of its scale', async (fault, code, celsius) => {
    const told = await readings({}, { fault });
    expect(new Set(told('temperature'))).toEqual(new Set([code]));
    expect(new Set(told('celsius'))).toEqual(new Set([celsius]));
  });
});
