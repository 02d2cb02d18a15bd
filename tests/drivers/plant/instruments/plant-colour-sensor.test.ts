import { describe, expect, it } from 'vitest';
import type { PlantRig } from '../../../../drivers/plant/plant-driver.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import type { Rig } from '../../../../harness/bench/rig.ts';
import { bareLamp, call, perfectRig, steady, testBench } from './test-bench.ts';

async function chromaticity(lamp: Lamp, drives: readonly number[]): Promise<[number, number]> {
  const { sensor } = await testBench({ lamp, firmware: steady(lamp, drives) });
  const { X, Y, Z, state } = await sensor.read({ integration: 0.1 }, call);
  expect(state).toBe('good');
  return [X / (X + Y + Z), Y / (X + Y + Z)];
}

/** CIE 1976 u'v'. */
function uv([x, y]: readonly [number, number]): [number, number] {
  const d = -2 * x + 12 * y + 3;
  return [(4 * x) / d, (9 * y) / d];
}

function shift(a: readonly [number, number], b: readonly [number, number]): number {
  const [ua, va] = uv(a);
  const [ub, vb] = uv(b);
  return Math.hypot(ua - ub, va - vb);
}

function rigWith(given: object): Rig {
  const wiring = perfectRig.wiring.map((wire) =>
    wire.input === 'head' ? { ...wire, ...given } : wire,
  );
  return { ...perfectRig, wiring };
}

describe('The simulated colour sensor', () => {
  it('reads the nominal chromaticity of a channel within the bin', async () => {
    const [x, y] = await chromaticity(bareLamp, [1, 0]);
    expect(Math.abs(x - 0.4578)).toBeLessThan(0.001);
    expect(Math.abs(y - 0.4101)).toBeLessThan(0.001);
  });

  it('sees modulation keep chromaticity, and analogue dimming shift it', async () => {
    const modulated = shift(
      await chromaticity(bareLamp, [1, 0]),
      await chromaticity(bareLamp, [0.05, 0]),
    );
    const analogue: Lamp = { ...bareLamp, modulation: { kind: 'analogue', bits: 12 } };
    const dimmed = shift(
      await chromaticity(analogue, [1, 0]),
      await chromaticity(analogue, [0.05, 0]),
    );
    expect(modulated).toBeLessThan(0.0001);
    // Well above the 0.0022 that two SDCM steps come to (CIE TN 001:2014; the figure from memory).
    expect(dimmed).toBeGreaterThan(0.004);
  });

  it('integrates from the call on, and says when', async () => {
    const { sensor, bench } = await testBench({ firmware: steady(bareLamp, [1, 0]) });
    const before = bench.clock.now();
    const reading = await sensor.read({ integration: 0.25 }, call);
    expect(reading.at).toBeCloseTo(before + 0.125, 9);
    expect(bench.clock.now()).toBeCloseTo(before + 0.25, 9);
  });

  it('calls a reading saturated above its range and under-range in its noise', async () => {
    const bright = await testBench({
      rig: rigWith({ fullScale: 100 }),
      firmware: steady(bareLamp, [1, 1]),
    });
    expect((await bright.sensor.read({ integration: 0.1 }, call)).state).toBe('saturated');
    const noisy = await testBench({
      rig: rigWith({ noise: 1 }),
      firmware: steady(bareLamp, [0.001, 0]),
    });
    expect((await noisy.sensor.read({ integration: 0.1 }, call)).state).toBe('under-range');
    const dark = await testBench({ firmware: steady(bareLamp, [0, 0]) });
    expect((await dark.sensor.read({ integration: 0.1 }, call)).state).toBe('under-range');
  });

  it('scatters more in less light and less time', async () => {
    const rig: PlantRig = {
      ...perfectRig,
      instruments: perfectRig.instruments.map((one) =>
        one.settings.kind === 'colour-sensor'
          ? { ...one, settings: { ...one.settings, 'noise-xy': 0.001 } }
          : one,
      ),
    };
    const scatter = async (drive: number, integration: number): Promise<number> => {
      const { sensor } = await testBench({ rig, firmware: steady(bareLamp, [drive, 0]) });
      const xs: number[] = [];
      for (let i = 0; i < 100; i++) {
        const { X, Y, Z } = await sensor.read({ integration }, call);
        xs.push(X / (X + Y + Z));
      }
      const middle = xs.reduce((a, b) => a + b, 0) / xs.length;
      return Math.sqrt(xs.reduce((sum, x) => sum + (x - middle) ** 2, 0) / xs.length);
    };
    const much = await scatter(1, 1);
    // 600 lx for 1 s: 0.001 * sqrt(100 / 600).
    expect(Math.abs(much / 0.000408 - 1)).toBeLessThan(0.25);
    expect(Math.abs((await scatter(1, 0.01)) / much / 10 - 1)).toBeLessThan(0.3);
  });

  it('refuses an integration time of nothing', async () => {
    const { sensor } = await testBench();
    await expect(sensor.read({ integration: 0 }, call)).rejects.toMatchObject({
      kind: 'unsupported',
    });
  });
});
