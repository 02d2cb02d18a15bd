import { describe, expect, it } from 'vitest';
import type { Firmware } from '../../../../drivers/plant/firmware/firmware.ts';
import { BenchError, LampFailure } from '../../../../harness/bench/errors.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import {
  bareLamp,
  call,
  mean,
  playing,
  recorded,
  signal,
  steady,
  testBench,
} from './test-bench.ts';

const mains: Lamp = {
  ...bareLamp,
  supply: {
    kind: 'mains',
    standby: 0.3,
    inputCapacitance: 47e-6,
    inrushResistance: 150,
    nominal: 230,
    low: 207,
    high: 253,
    frequency: 50,
    powerFactorCorrection: 'poor',
  },
};

describe('The simulated supply', () => {
  it('darkens the lamp when it goes off and starts the firmware anew when it comes back, memory kept', async () => {
    const starts: number[] = [];
    const firmware = (): Firmware =>
      playing((hardware) => {
        starts.push(hardware.memory[0]!);
        hardware.memory[0] = starts.length;
        hardware.setModulator(0, { kind: 'pulse-density', bits: 8, clock: 1e5 });
        hardware.setPeakCurrent(0, 0.5);
        hardware.setDrive(0, 256);
      })();
    const bench = await testBench({ firmware });
    expect(mean(await recorded(bench, 'light', 1e3, 0.05))).toBeGreaterThan(100);
    await bench.supply.output(false, call);
    expect(mean(await recorded(bench, 'light', 1e3, 0.05))).toBeLessThan(0.01);
    await bench.supply.output(true, call);
    expect(mean(await recorded(bench, 'light', 1e3, 0.05))).toBeGreaterThan(100);
    expect(starts).toEqual([255, 1]);
  });

  it('tells volts and amperes, and refuses more than the rig allows', async () => {
    const { supply } = await testBench({ firmware: steady(bareLamp, [1, 1]) });
    const { volts, amps, on } = await supply.read(call);
    expect([volts, on]).toEqual([48, true]);
    // (0.7 A + 0.5 A) at the rail over an efficiency of 0.9, within the lamp's tolerances.
    expect(Math.abs(amps / (1.2 / 0.9) - 1)).toBeLessThan(0.03);
    await expect(supply.set({ volts: 300 }, call)).rejects.toMatchObject({ kind: 'refused' });
    expect((await supply.read(call)).volts).toBe(48);
  });

  it('moves a well-regulated current little and starves it below the LED voltage', async () => {
    const at = async (volts: number): Promise<number> => {
      const bench = await testBench({ firmware: steady(bareLamp, [1, 1]) });
      await bench.supply.set({ volts }, call);
      return mean(await recorded(bench, 'current-1', 1e3, 0.05));
    };
    const nominal = await at(48);
    expect(Math.abs((await at(44)) / nominal - 1)).toBeLessThan(0.001);
    expect(Math.abs((await at(52)) / nominal - 1)).toBeLessThan(0.001);
    expect(await at(32)).toBeLessThan(0.9 * nominal);
  });

  it('is a sine of its rms voltage on a mains lamp, with the current of a plain rectifier', async () => {
    const bench = await testBench({ lamp: mains, firmware: steady(mains, [1, 1]) });
    const { finished } = await bench.digitiser.arm(
      {
        inputs: [{ input: 'mains-voltage' }, { input: 'mains-current' }],
        rate: 20e3,
        duration: 0.2,
      },
      call,
    );
    const [voltage, current] = (await finished).map(({ codes, scale }) =>
      Float64Array.from(codes, (c) => c * scale),
    );
    const rms = (values: Float64Array): number => Math.sqrt(mean(values.map((v) => v * v)));
    expect(rms(voltage!)).toBeCloseTo(230, 1);
    const power = mean(voltage!.map((v, k) => v * current![k]!));
    expect(power).toBeGreaterThan(40);
    expect(power / (rms(voltage!) * rms(current!))).toBeLessThan(0.65);
  });
});

describe('Firmware that breaks down', () => {
  it('is a failure of the lamp, not of the bench, for everybody who waits', async () => {
    const firmware = (): Firmware => ({
      ...playing(() => {})(),
      tick: () => {
        throw new Error('unreachable executed');
      },
    });
    const { bench } = await testBench({ firmware }, 0);
    const waiting = bench.clock.waitUntil(1, signal);
    await expect(waiting).rejects.toBeInstanceOf(LampFailure);
    await expect(bench.clock.waitUntil(2, signal)).rejects.toThrow(/unreachable executed/);
    await expect(bench.clock.waitUntil(2, signal)).rejects.not.toBeInstanceOf(BenchError);
  });
});
