import { describe, expect, it } from 'vitest';
import { BenchError } from '../../../../harness/bench/errors.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import type { Rig } from '../../../../harness/bench/rig.ts';
import {
  bareLamp,
  call,
  mean,
  perfectRig,
  recorded,
  signal,
  steady,
  testBench,
  volts,
} from './test-bench.ts';

function rigWith(input: string, given: object): Rig {
  return {
    ...perfectRig,
    wiring: perfectRig.wiring.map((wire) => (wire.input === input ? { ...wire, ...given } : wire)),
  };
}

function deviation(values: Float64Array): number {
  const middle = mean(values);
  return Math.sqrt(mean(values.map((value) => (value - middle) ** 2)));
}

describe('The simulated digitiser', () => {
  it('records light in proportion to the drives, as the channels mix', async () => {
    const both = await recorded(
      await testBench({ firmware: steady(bareLamp, [0.5, 0.25]) }),
      'light',
      1e3,
      0.1,
    );
    const warm = await recorded(
      await testBench({ firmware: steady(bareLamp, [1, 0]) }),
      'light',
      1e3,
      0.1,
    );
    const red = await recorded(
      await testBench({ firmware: steady(bareLamp, [0, 1]) }),
      'light',
      1e3,
      0.1,
    );
    // Nominal light within the component tolerances; proportional within what heat does in a tenth of a second.
    expect(Math.abs(mean(warm) / 600 - 1)).toBeLessThan(0.05);
    expect(mean(both) / (mean(warm) / 2 + mean(red) / 4)).toBeCloseTo(1, 3);
  });

  it('carries noise, offset and scale of its wire, and says where its codes end', async () => {
    const rig = rigWith('current-1', {
      noise: 1e-3,
      scale: 0.2,
      offset: 0.5,
      bits: 12,
      fullScale: 0.8,
    });
    const { digitiser } = await testBench({ rig, firmware: steady(bareLamp, [1, 0]) });
    const { finished } = await digitiser.arm(
      { inputs: [{ input: 'current-1' }], rate: 20e3, duration: 0.5 },
      call,
    );
    const capture = (await finished)[0]!;
    expect([capture.lowest, capture.highest]).toEqual([-2048, 2047]);
    expect(capture.codes).toBeInstanceOf(Int16Array);
    // value = (volts - offset) * scale
    const amps = volts(capture).map((v) => (v - 0.5) * 0.2);
    expect(Math.abs(mean(amps) / 0.7 - 1)).toBeLessThan(0.02);
    // Noise of 1 mA and a step of 0.39 mA: sqrt(1 + 0.39^2 / 12) = 1.006.
    expect(deviation(amps) / 1e-3).toBeCloseTo(1.006, 1);
  });

  it('clips at the end of its range, and takes a finer range for a smaller expected peak', async () => {
    const { digitiser } = await testBench({ firmware: steady(bareLamp, [1, 1]) });
    const arm = async (expectedPeak?: number) => {
      const setup = {
        inputs: [{ input: 'current-1', ...(expectedPeak ? { expectedPeak } : {}) }],
        rate: 1e3,
        duration: 0.02,
      };
      return (await (await digitiser.arm(setup, call)).finished)[0]!;
    };
    const [full, fine, clipped] = [await arm(), await arm(0.2), await arm(0.1)];
    expect(fine.scale).toBe(full.scale / 4);
    expect(clipped.scale).toBe(full.scale / 8);
    expect(clipped.codes.every((code) => code === clipped.highest)).toBe(true);
    expect(full.codes.some((code) => code === full.highest)).toBe(false);
  });

  it('has errors within twice the stated standard uncertainties, the same for the whole run', async () => {
    const rig = rigWith('current-1', { standardScale: 0.01, standardOffset: 1e-3 });
    const ratio = async (lampSeed: number, seed: number): Promise<number> => {
      const drives = { firmware: steady(bareLamp, [1, 0]), lampSeed, seed };
      const real = mean(
        await recorded(await testBench({ ...drives, rig }), 'current-1', 1e3, 0.01),
      );
      const ideal = mean(await recorded(await testBench(drives), 'current-1', 1e3, 0.01));
      return real / ideal - 1;
    };
    const errors = [await ratio(1, 1), await ratio(2, 1), await ratio(3, 1)];
    expect(await ratio(1, 2)).toBeCloseTo(errors[0]!, 12);
    expect(new Set(errors.map((error) => error.toFixed(9))).size).toBe(3);
    for (const error of errors) expect(Math.abs(error)).toBeLessThan(0.02 + 2e-3 / 0.6);
  });

  it('smooths a step as a sensor of its bandwidth does', async () => {
    const rig = rigWith('sync', { bandwidth: 500 });
    const bench = await testBench({ rig });
    const armed = await bench.digitiser.arm(
      { inputs: [{ input: 'sync' }], rate: 20e3, duration: 0.01 },
      call,
    );
    await bench.console.send({ link: 'console', line: 'who' }, call);
    const pin = volts((await armed.finished)[0]!);
    const rise = pin.findIndex((value) => value > 0.01);
    // 0.5 ms after the edge: 1 - exp(-2 pi 500 0.5e-3) = 0.792 (computed).
    expect(Math.abs(pin[rise + 10]! / 3.3 - 0.792)).toBeLessThan(0.05);
    expect(Math.max(...pin)).toBeLessThan(3.3);
  });

  it('lets time run to the end of a record when nobody else does', async () => {
    const { digitiser, bench } = await testBench();
    const { finished, started } = await digitiser.arm(
      { inputs: [{ input: 'light' }], rate: 1e3, duration: 2 },
      call,
    );
    expect((await finished)[0]!.codes.length).toBe(2000);
    expect(bench.clock.now()).toBeCloseTo(started + 2, 8);
  });

  it('refuses in a sentence what it cannot do', async () => {
    const { digitiser } = await testBench();
    const arm = (input: string, rate: number, duration: number) =>
      digitiser.arm({ inputs: [{ input }], rate, duration }, call);
    await expect(arm('nowhere', 1e3, 1)).rejects.toThrow(
      /no wired input nowhere; its inputs are: light/,
    );
    await expect(arm('light', 1e12, 1)).rejects.toThrow(/its highest rate is/);
    await expect(arm('light', 1e6, 1e6)).rejects.toThrow(/memory of/);
    await expect(arm('light', 0, 1)).rejects.toMatchObject({ kind: 'unsupported' });
  });

  it('ends a record that is cancelled, and rejects everything once it is closed', async () => {
    const { digitiser, bench } = await testBench();
    const stop = new AbortController();
    const setup = { inputs: [{ input: 'light' }], rate: 1e3, duration: 1 };
    const first = await digitiser.arm(setup, { signal: stop.signal, deadline: 1 });
    stop.abort();
    await expect(first.finished).rejects.toMatchObject({ kind: 'cancelled' });
    const second = await digitiser.arm(setup, call);
    await digitiser.close();
    await digitiser.close();
    await expect(second.finished).rejects.toMatchObject({ kind: 'closed' });
    await expect(digitiser.arm(setup, call)).rejects.toBeInstanceOf(BenchError);
    await bench.close();
    await expect(bench.clock.waitUntil(9, signal)).rejects.toMatchObject({ kind: 'closed' });
  });

  it('makes records whose power at the supply is that of the LEDs over the efficiency', async () => {
    const lamp: Lamp = {
      ...bareLamp,
      stage: {
        kind: 'fixed-off-time',
        supplyVoltage: 48,
        inductance: 220e-6,
        offTime: 1e-6,
        comparatorDelay: 0,
        minimumOnTime: 0,
        diodeDrop: 0,
        riseTime: 8e-9,
        fallTime: 8e-9,
      },
    };
    const firmware = steady(lamp, [0.4, 0.7]);
    const supply = mean(
      await recorded(await testBench({ lamp, firmware }), 'supply-current', 1e3, 0.1),
    );
    const warm = mean(await recorded(await testBench({ lamp, firmware }), 'current-1', 1e3, 0.1));
    const red = mean(await recorded(await testBench({ lamp, firmware }), 'current-2', 1e3, 0.1));
    const leds = warm * 33 + red * 20;
    // 0.3 W stand-by, efficiency 0.9; forward voltages of this lamp within 2 %.
    expect(Math.abs(((supply * 48 - 0.3) * 0.9) / leds - 1)).toBeLessThan(0.04);
  });
});
