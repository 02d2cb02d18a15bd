import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import { bareLamp, call, recorded, steady, testBench } from '../instruments/test-bench.ts';

/** What the supply's or the mains' current is for 0.1 s after power-on, off for `off` s before. */
async function inrushOf(lamp: Lamp, input: string, off: number): Promise<Float64Array> {
  const bench = await testBench({ lamp, firmware: steady(lamp, [0, 0]) });
  await bench.supply.output(false, call);
  await recorded(bench, 'light', 1e3, off);
  await bench.supply.output(true, call);
  return recorded(bench, input, 100e3, 0.1);
}

describe('what charges the input capacitor', () => {
  it('is (V / R) e^(-t / RC) from a DC supply, within the tolerances of R and C (closed form)', async () => {
    const samples = await inrushOf(bareLamp, 'supply-current', 4);
    const peak = 48 / 10;
    // What the lamp draws anyway: 0.3 W.
    expect(Math.abs(samples[0]! / (peak + 0.3 / 48) - 1)).toBeLessThan(0.09);
    const charge = samples.reduce((sum, value) => sum + (value - 0.3 / 48) / 100e3, 0);
    expect(Math.abs(charge / (48 * 220e-6) - 1)).toBeLessThan(0.2);
    expect(samples[1]! - samples[0]!).toBeLessThan(0);
    expect(samples.at(-1)!).toBeCloseTo(0.3 / 48, 3);
  });

  it('is little where the capacitor is still charged', async () => {
    const [warm, cold] = [0.02, 4].map((off) => inrushOf(bareLamp, 'supply-current', off));
    // Computed: 1 - e^(-0.02 / 0.3) of the peak.
    const ratio = Math.max(...(await warm!)) / Math.max(...(await cold!));
    expect(ratio).toBeCloseTo(-Math.expm1(-0.02 / 0.3), 2);
  });

  it("from the mains is at most the peak of the sine over R, and that at the sine's peak", async () => {
    const mains: Lamp = {
      ...bareLamp,
      supply: {
        kind: 'mains',
        nominal: 230,
        low: 207,
        high: 253,
        frequency: 50,
        powerFactorCorrection: 'good',
        standby: 0,
        inputCapacitance: 47e-6,
        inrushResistance: 150,
      },
    };
    const highest = async (off: number): Promise<number> => {
      const samples = await inrushOf(mains, 'mains-current', off);
      return samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    };
    const limit = (230 * Math.SQRT2) / 150;
    const [atZero, atPeak] = [await highest(8), await highest(8.005)];
    expect(Math.abs(atPeak / limit - 1)).toBeLessThan(0.08);
    expect(atZero).toBeLessThan(0.8 * atPeak);
  });
});
