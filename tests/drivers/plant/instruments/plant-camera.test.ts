import { describe, expect, it } from 'vitest';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import { bareLamp, call, steady, testBench } from './test-bench.ts';

/** Ideal edges, so that only the exposure shapes the bands. */
function pulsed(frequency: number): Lamp {
  return {
    ...bareLamp,
    modulation: { kind: 'pwm', bits: 16, frequency, phaseShift: 0 },
    stage: { kind: 'linear', riseTime: 0, fallTime: 0 },
  };
}

async function contrast(frequency: number, exposure: number, duty: number): Promise<number> {
  const lamp = pulsed(frequency);
  const { camera } = await testBench({ lamp, firmware: steady(lamp, [duty, 0]) });
  const { rows } = await camera.shoot({ exposure, frameRate: 10 }, call);
  const [high, low] = [Math.max(...rows), Math.min(...rows)];
  return (high - low) / (high + low);
}

describe('The simulated camera', () => {
  // Exact Michelson contrast of rolling-shutter bands from PWM, computed and checked by brute force.
  it.each([
    [1000, 1 / 1500, 0.5, 0.5],
    [1000, 1 / 300, 0.1, 0.142857],
    [4000, 1 / 8000, 0.1, 1],
    [20_000, 1 / 8000, 0.1, 0.2],
    [2500, 1 / 1000, 0.25, 0.2],
    [500, 1 / 120, 0.2, 0.09434],
    [120, 1 / 50, 0.5, 0.166667],
  ])(
    'shows bands of PWM at %d Hz, exposure %d s, duty %d',
    async (frequency, exposure, duty, expected) => {
      // Rows every 15 µs and a light sampled 16 times an exposure or finer; ripple of the rail adds its 0.002 %.
      expect(Math.abs((await contrast(frequency, exposure, duty)) - expected)).toBeLessThan(0.02);
    },
  );

  it('shows none where the exposure is whole periods of the light', async () => {
    expect(await contrast(1000, 1 / 100, 0.3)).toBeLessThan(0.002);
  });

  it('has one row a line time, and bands at the frequency of the light', async () => {
    const lamp = pulsed(500);
    const { camera } = await testBench({ lamp, firmware: steady(lamp, [0.5, 0]) });
    const { rows, lineTime } = await camera.shoot({ exposure: 1 / 2000, frameRate: 30 }, call);
    expect(rows.length).toBe(1080);
    let crossings = 0;
    for (let r = 1; r < rows.length; r++) if (rows[r - 1]! < 0.3 && rows[r]! >= 0.3) crossings++;
    expect(Math.abs(crossings - 500 * 1080 * lineTime)).toBeLessThanOrEqual(1);
  });

  it('refuses an exposure longer than its frame', async () => {
    const { camera } = await testBench();
    await expect(camera.shoot({ exposure: 0.1, frameRate: 25 }, call)).rejects.toThrow(
      /does not fit into 25 frames/,
    );
  });
});
