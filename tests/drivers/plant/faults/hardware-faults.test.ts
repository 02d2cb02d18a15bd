import { describe, expect, it } from 'vitest';
import { findFault } from '../../../../drivers/plant/faults/faults.ts';
import type { Firmware, LampHardware } from '../../../../drivers/plant/firmware/firmware.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import {
  bareLamp,
  call,
  mean,
  recorded,
  steady,
  type TestBench,
  testBench,
} from '../instruments/test-bench.ts';

const lamp: Lamp = {
  ...bareLamp,
  modulation: { kind: 'pulse-density', bits: 16, clock: 20e6 },
  stage: {
    kind: 'fixed-off-time',
    supplyVoltage: 48,
    inductance: 220e-6,
    offTime: 1e-6,
    comparatorDelay: 40e-9,
    minimumOnTime: 150e-9,
    diodeDrop: 0.4,
    riseTime: 8e-9,
    fallTime: 8e-9,
  },
};

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
    powerFactorCorrection: 'good',
  },
};

/** A lamp with the fault at its nominal size (none: healthy), steady at the given drives. */
function withFault(
  id: string | null,
  drives: readonly number[],
  made: Lamp = lamp,
): Promise<TestBench> {
  const seeded = id === null ? [] : [{ fault: id, size: findFault(id)!.size.nominal }];
  return testBench({ lamp: made, firmware: steady(made, drives), faults: seeded });
}

/** What an input shows with the fault, and without. */
async function pair(
  id: string,
  input: string,
  drives: readonly number[],
  {
    rate = 1e3,
    duration = 0.1,
    made = lamp,
  }: { rate?: number; duration?: number; made?: Lamp } = {},
): Promise<{ faulty: Float64Array; healthy: Float64Array }> {
  const faulty = await recorded(await withFault(id, drives, made), input, rate, duration);
  const healthy = await recorded(await withFault(null, drives, made), input, rate, duration);
  return { faulty, healthy };
}

async function meanRatio(
  id: string,
  input: string,
  drives: readonly number[],
  made = lamp,
): Promise<number> {
  const { faulty, healthy } = await pair(id, input, drives, { made });
  return mean(faulty) / mean(healthy);
}

function swing(values: Float64Array): number {
  const [high, low] = [Math.max(...values), Math.min(...values)];
  return (high - low) / (high + low);
}

async function xy(bench: TestBench): Promise<[number, number]> {
  const { X, Y, Z } = await bench.sensor.read({ integration: 0.05 }, call);
  return [X / (X + Y + Z), Y / (X + Y + Z)];
}

describe('Seeded faults of the hardware at their nominal size', () => {
  it('slow-pwm makes the light switch two hundred times a second', async () => {
    const { faulty, healthy } = await pair('slow-pwm', 'light', [0.5, 0], { rate: 20e3 });
    expect(swing(faulty)).toBeGreaterThan(0.99);
    expect(swing(healthy)).toBeLessThan(0.01);
  });

  it('phase-aligned brings the pulses of the channels together', async () => {
    const { faulty } = await pair('phase-aligned', 'light', [0.25, 0.25], {
      rate: 100e3,
      duration: 0.01,
    });
    // Both channels or none: nothing between dark and the sum, but for samples on an edge.
    const top = Math.max(...faulty);
    const between = faulty.filter((value) => value > 0.05 * top && value < 0.95 * top);
    expect(between.length).toBeLessThan(0.03 * faulty.length);
  });

  it('stuck-bit takes its bit away from every code that has it', async () => {
    expect(await meanRatio('stuck-bit', 'current-1', [4096 / 65536, 0])).toBeLessThan(0.001);
    expect(await meanRatio('stuck-bit', 'current-1', [(8192 + 4096) / 65536, 0])).toBeCloseTo(
      2 / 3,
      3,
    );
    expect(await meanRatio('stuck-bit', 'current-1', [0.5, 0])).toBeCloseTo(1, 4);
  });

  it('idle-tone makes flashes of low levels', async () => {
    const { faulty, healthy } = await pair('idle-tone', 'light', [0.001, 0], {
      rate: 20e3,
      duration: 0.3,
    });
    expect(swing(faulty)).toBeGreaterThan(0.99);
    // At 20 kHz a sample holds one pulse or two.
    expect(mean(faulty) / mean(healthy)).toBeCloseTo(1, 0);
    expect(Math.max(...faulty) / mean(faulty)).toBeGreaterThan(
      10 * (Math.max(...healthy) / mean(healthy)),
    );
  });

  it('converter-beat swings the light slowly', async () => {
    const { faulty } = await pair('converter-beat', 'light', [1, 1], { duration: 0.3 });
    expect(swing(faulty)).toBeCloseTo(0.03, 2);
  });

  it('mains-breakthrough swings the light at twice the mains frequency', async () => {
    const { faulty } = await pair('mains-breakthrough', 'light', [1, 1]);
    expect(swing(faulty)).toBeCloseTo(0.1, 2);
    expect(faulty[12]! / faulty[2]!).toBeCloseTo(1, 2);
  });

  it('short-pulses-lost takes all light of low levels and none of full light', async () => {
    expect(await meanRatio('short-pulses-lost', 'light', [0.01, 0])).toBe(0);
    expect(await meanRatio('short-pulses-lost', 'light', [1, 0])).toBe(1);
  });

  it('slow-edges takes light from short pulses', async () => {
    // 50 ns pulses: 48 ns to rise instead of 8 ns loses 20 ns more, of an area of 50 ns.
    expect(await meanRatio('slow-edges', 'light', [0.01, 0])).toBeCloseTo(0.6, 2);
    expect(await meanRatio('slow-edges', 'light', [1, 0])).toBe(1);
  });

  it('turn-on-overshoot brightens short pulses', async () => {
    // 0.3 * (42 ns - 42^2 / 400 ns) of 50 ns settled area, and the higher ends of rise and fall.
    expect(await meanRatio('turn-on-overshoot', 'light', [0.01, 0])).toBeGreaterThan(1.2);
    expect(await meanRatio('turn-on-overshoot', 'light', [1, 0])).toBe(1);
  });

  it('current-loop-hunts swings low levels only', async () => {
    const low = await pair('current-loop-hunts', 'light', [0.01, 0], { duration: 0.2 });
    expect(swing(low.faulty)).toBeGreaterThan(0.25);
    expect(swing((await pair('current-loop-hunts', 'light', [0.5, 0])).faulty)).toBeLessThan(0.01);
  });

  it('leakage leaves light at a drive of nothing', async () => {
    const { faulty, healthy } = await pair('leakage', 'light', [0, 0]);
    // A thousandth of the current, with the better efficacy of low currents; 800 lx at full.
    expect(mean(faulty) / 800).toBeGreaterThan(0.8e-3);
    expect(mean(healthy)).toBeLessThan(1e-3);
  });

  it('low-current and weak-channel lose light, one with its current and one without', async () => {
    expect(await meanRatio('low-current', 'current-1', [1, 1])).toBeCloseTo(0.8, 1);
    expect(await meanRatio('low-current', 'current-2', [1, 1])).toBeCloseTo(1, 3);
    expect(await meanRatio('weak-channel', 'current-1', [1, 0])).toBe(1);
    expect(await meanRatio('weak-channel', 'light', [1, 0])).toBeCloseTo(0.75, 6);
  });

  it('wrong-bin moves the chromaticity of the first channel', async () => {
    const [x] = await xy(await withFault('wrong-bin', [1, 0]));
    const [healthy] = await xy(await withFault(null, [1, 0]));
    expect(x - healthy).toBeCloseTo(0.02, 4);
  });

  it('swapped-channels lights the other channel', async () => {
    const bench = await withFault('swapped-channels', [1, 0]);
    expect(mean(await recorded(bench, 'current-1', 1e3, 0.05))).toBeLessThan(1e-3);
    expect(mean(await recorded(bench, 'current-2', 1e3, 0.05))).toBeGreaterThan(0.3);
  });

  it('analogue-dimming lowers the current and shifts the colour', async () => {
    const bench = await withFault('analogue-dimming', [0.05, 0]);
    const current = await recorded(bench, 'current-1', 1e6, 1e-3);
    expect(swing(current)).toBeLessThan(0.01);
    const [x] = await xy(bench);
    const [healthy] = await xy(await withFault(null, [0.05, 0]));
    expect(Math.abs(x - healthy)).toBeGreaterThan(0.005);
  });

  it('crosstalk sends part of a current through the neighbour', async () => {
    const { faulty, healthy } = await pair('crosstalk', 'current-2', [1, 0]);
    const own = await recorded(await withFault('crosstalk', [1, 0]), 'current-1', 1e3, 0.1);
    expect(mean(faulty) / mean(own)).toBeCloseTo(0.05, 4);
    expect(mean(healthy)).toBeLessThan(1e-6);
  });

  it('ripple-current, wrong-off-time and slow-comparator move ripple, mean and peak as the stage says', async () => {
    const fast = { rate: 20e6, duration: 200e-6 };
    const span = (values: Float64Array): number => Math.max(...values) - Math.min(...values);
    const coil = await pair('ripple-current', 'current-1', [1, 1], fast);
    expect(span(coil.faulty) / span(coil.healthy)).toBeCloseTo(1 / 0.6, 1);
    const off = await pair('wrong-off-time', 'current-1', [1, 1], fast);
    expect(span(off.faulty) / span(off.healthy)).toBeCloseTo(1.3, 1);
    expect(mean(off.healthy) - mean(off.faulty)).toBeCloseTo((0.3 * 0.152) / 2, 2);
    const late = await pair('slow-comparator', 'current-1', [1, 1], fast);
    // (48 V - 33 V) * 600 ns / 220 µH = 41 mA.
    expect(Math.max(...late.faulty) - Math.max(...late.healthy)).toBeCloseTo(0.041, 2);
  });

  it('poor-regulation lets the current follow the supply', async () => {
    const at = async (id: string | null, volts: number): Promise<number> => {
      const bench = await withFault(id, [1, 0]);
      await bench.supply.set({ volts }, call);
      return mean(await recorded(bench, 'current-1', 1e3, 0.05));
    };
    expect((await at('poor-regulation', 52)) / (await at('poor-regulation', 48))).toBeGreaterThan(
      1.07,
    );
    expect((await at(null, 52)) / (await at(null, 48))).toBeLessThan(1.005);
  });

  it('supply-sag dims a channel when another is lit', async () => {
    const alone = mean(
      await recorded(await withFault('supply-sag', [1, 0]), 'current-1', 1e3, 0.1),
    );
    const both = mean(await recorded(await withFault('supply-sag', [1, 1]), 'current-1', 1e3, 0.1));
    // 10 W more over 48 V and 0.9: 0.23 V of 48 V.
    expect(1 - both / alone).toBeGreaterThan(0.004);
  });

  it('brown-out restarts a lamp at full load, and leaves it alone at low load', async () => {
    const large: Lamp = {
      ...lamp,
      channels: lamp.channels.map((channel) => ({
        ...channel,
        maxCurrent: 3 * channel.maxCurrent,
      })),
    };
    const { faulty } = await pair('brown-out', 'light', [1, 1], { duration: 0.5, made: large });
    expect(Math.min(...faulty)).toBeLessThan(0.1 * Math.max(...faulty));
    const low = await pair('brown-out', 'light', [0.1, 0.1], { duration: 0.5, made: large });
    expect(Math.min(...low.faulty)).toBeGreaterThan(0.9 * Math.max(...low.faulty));
  });

  it('high-forward-voltage starves the first channel at low supply only', async () => {
    const at = async (volts: number): Promise<number> => {
      const bench = await withFault('high-forward-voltage', [1, 0]);
      await bench.supply.set({ volts }, call);
      return mean(await recorded(bench, 'current-1', 1e3, 0.05));
    };
    expect(await at(44)).toBeLessThan(0.9 * (await at(50)));
  });

  it('hot-board and thermal-colour-drift move light and colour within seconds', async () => {
    const { faulty, healthy } = await pair('hot-board', 'light', [1, 1], { duration: 3 });
    const sag = (values: Float64Array): number => 1 - values[2900]! / values[0]!;
    expect(sag(faulty)).toBeGreaterThan(0.05);
    expect(sag(healthy)).toBeLessThan(0.002);
    const bench = await withFault('thermal-colour-drift', [1, 1]);
    const [early] = await xy(bench);
    await recorded(bench, 'light', 1e3, 3);
    const [late] = await xy(bench);
    expect(early - late).toBeGreaterThan(0.005);
  });

  it('open-led leaves the first channel dark, and no other', async () => {
    expect(await meanRatio('open-led', 'current-1', [1, 1])).toBe(0);
    expect(await meanRatio('open-led', 'current-2', [1, 1])).toBeCloseTo(1, 3);
    expect(await meanRatio('open-led', 'light', [1, 0])).toBe(0);
  });

  it('shorted-leds takes light and voltage from the first channel, and no current', async () => {
    // Three of eleven; a smaller ripple below the same peak makes the mean a little higher.
    expect(await meanRatio('shorted-leds', 'light', [1, 0])).toBeCloseTo(8 / 11, 1);
    expect(await meanRatio('shorted-leds', 'light', [0, 1])).toBeCloseTo(1, 3);
    // The peak is held; the ripple follows the voltage.
    expect(await meanRatio('shorted-leds', 'current-1', [1, 0])).toBeCloseTo(1.03, 1);
    expect(await meanRatio('shorted-leds', 'supply-current', [1, 0])).toBeLessThan(0.85);
  });

  it('long-dead-time takes the same from every pulse', async () => {
    // Pulses of 50 ns, one by one up to half density.
    expect(await meanRatio('long-dead-time', 'current-1', [0.01, 0])).toBeCloseTo(0.8, 2);
    expect(await meanRatio('long-dead-time', 'current-1', [1, 0])).toBeCloseTo(1, 4);
  });

  it('uneven-forward-voltage moves the ripple of the channels apart, and not their peaks', async () => {
    const ratio = async (input: string): Promise<number> =>
      meanRatio('uneven-forward-voltage', input, [1, 1]);
    // Half of the ripple is missing below the peak: 0.3 of 75 mA and 46 mA.
    expect(await ratio('current-1')).toBeCloseTo(1 - (0.3 * 0.075) / 0.7, 1);
    expect(await ratio('current-1')).toBeLessThan(1);
    expect(await ratio('current-2')).toBeGreaterThan(1);
  });

  it("phosphor-crosstalk moves a channel's colour to its neighbour's, and not its light", async () => {
    const healthy = await xy(await withFault(null, [1, 0]));
    const faulty = await xy(await withFault('phosphor-crosstalk', [1, 0]));
    // Red lies at higher x and lower y than warm white.
    expect(faulty[0] - healthy[0]).toBeGreaterThan(0.005);
    expect(faulty[1] - healthy[1]).toBeLessThan(-0.003);
    expect(await meanRatio('phosphor-crosstalk', 'light', [1, 0])).toBeCloseTo(1, 6);
  });

  it('ripple-rejection-lost lets the ripple of the rail into the light', async () => {
    const { faulty, healthy } = await pair('ripple-rejection-lost', 'light', [1, 1], {
      made: mains,
    });
    expect(swing(faulty)).toBeGreaterThan(0.025);
    expect(swing(healthy)).toBeLessThan(0.002);
  });

  it('oscillator-off makes ticks and timer fast, whatever the firmware', async () => {
    const ticks = async (faults: readonly { fault: string; size: number }[]) => {
      let [count, time] = [0, 0];
      const firmware = (): Firmware => {
        let hardware: LampHardware | null = null;
        return {
          ...{ name: 'counts', kind: 'test', digest: null, receive: () => {}, dispose: () => {} },
          start: (own) => {
            hardware = own;
          },
          tick: () => {
            count++;
            time = hardware?.now() ?? 0;
            return false;
          },
        };
      };
      await testBench({ lamp, firmware, faults }, 1.0005);
      return { count, time };
    };
    const off = await ticks([{ fault: 'oscillator-off', size: 0.01 }]);
    expect(off.count).toBe(1010);
    expect(off.time).toBeCloseTo(1.01, 6);
    expect(await ticks([])).toEqual({ count: 1000, time: 1 });
  });

  it('drive-noise makes the light flicker at random by its size', async () => {
    const { faulty } = await pair('drive-noise', 'light', [1, 1], { rate: 5e3, duration: 5 });
    const middle = mean(faulty);
    const deviation = Math.sqrt(mean(faulty.map((value) => (value - middle) ** 2)));
    expect(deviation / middle).toBeCloseTo(0.05, 2);
  });

  it.each(['poor-power-factor', 'harmonic-current'])(
    '%s distorts the mains current',
    async (id) => {
      const factor = async (fault: string | null): Promise<number> => {
        const bench = await withFault(fault, [1, 1], mains);
        const { finished } = await bench.digitiser.arm(
          {
            inputs: [{ input: 'mains-voltage' }, { input: 'mains-current' }],
            rate: 20e3,
            duration: 0.2,
          },
          call,
        );
        const [u, i] = (await finished).map(({ codes, scale }) =>
          Float64Array.from(codes, (c) => c * scale),
        );
        const rms = (values: Float64Array): number => Math.sqrt(mean(values.map((v) => v * v)));
        return mean(u!.map((v, k) => v * i![k]!)) / (rms(u!) * rms(i!));
      };
      expect(await factor(null)).toBeGreaterThan(0.99);
      expect(await factor(id)).toBeLessThan(0.94);
    },
  );
});
