import { describe, expect, it } from 'vitest';
import { DriveLine } from '../../../../drivers/plant/modulator/drive-line.ts';
import { gatePulses } from '../../../../drivers/plant/modulator/gate-pulses.ts';
import type { Lamp } from '../../../../harness/bench/lamp.ts';
import type { Rig } from '../../../../harness/bench/rig.ts';
import {
  bareLamp,
  mean,
  perfectRig,
  playing,
  recorded,
  steady,
  testBench,
} from '../instruments/test-bench.ts';
import { pulseDensityBitByBit } from '../modulator/bit-by-bit.ts';

const buck: Lamp = {
  ...bareLamp,
  modulation: { kind: 'pulse-density', bits: 8, clock: 100e3 },
  stage: {
    kind: 'fixed-off-time',
    supplyVoltage: 48,
    inductance: 220e-6,
    offTime: 1e-6,
    comparatorDelay: 40e-9,
    minimumOnTime: 150e-9,
    diodeDrop: 0.4,
    riseTime: 20e-9,
    fallTime: 50e-9,
  },
};

const pointRig: Rig = {
  ...perfectRig,
  instruments: perfectRig.instruments.map((one) =>
    one.name === 'digitiser' ? { ...one, limits: { acquisition: 'point' } } : one,
  ),
};

describe('A fast record of a switched stage', () => {
  it('shows the ripple cycle by cycle, and its mean is the averaged one', async () => {
    const fast = await testBench({ lamp: buck, firmware: steady(buck, [1, 1]) });
    const cycles = await recorded(fast, 'current-1', 20e6, 400e-6);
    const slow = await testBench({ lamp: buck, firmware: steady(buck, [1, 1]) });
    const averaged = await recorded(slow, 'current-1', 100e3, 400e-6);
    const ripple = Math.max(...cycles) - Math.min(...cycles);
    // 33.4 V * 1 µs / 220 µH = 152 mA; component values of this lamp are within some per cent.
    expect(ripple).toBeGreaterThan(0.13);
    expect(ripple).toBeLessThan(0.17);
    expect(mean(cycles) / mean(averaged)).toBeCloseTo(1, 3);
  });

  it('switches at the frequency that follows from supply, LED voltage and off-time', async () => {
    const fast = await testBench({ lamp: buck, firmware: steady(buck, [1, 1]) });
    const current = await recorded(fast, 'current-1', 20e6, 2e-3);
    const level = mean(current);
    let rises = 0;
    for (let k = 1; k < current.length; k++)
      if (current[k - 1]! < level && current[k]! >= level) rises++;
    // (1 - V_LED / V_in) / t_off without diode drop: 312.5 kHz; the drop makes it 310 kHz. Parts vary by some per cent.
    expect(rises / 2e-3 / 310e3).toBeGreaterThan(0.93);
    expect(rises / 2e-3 / 310e3).toBeLessThan(1.07);
  });

  it.each([
    [0.02, 'linear', 1e-4],
    [0.3, 'linear', 1e-4],
    [0.5, 'linear', 1e-4],
    [0.77, 'linear', 1e-4],
    [0.99, 'linear', 1e-4],
    // Pulses of three switching cycles start at only a few phases of the cycle: what is left is a part of the ripple.
    [0.02, 'switched', 0.01],
    [0.3, 'switched', 0.005],
    [0.77, 'switched', 0.003],
    [0.99, 'switched', 0.001],
  ] as const)(
    'agrees with the closed form at a density of %d (%s stage)',
    async (drive, kind, within) => {
      const lamp: Lamp =
        kind === 'linear' ? { ...buck, stage: { kind, riseTime: 20e-9, fallTime: 50e-9 } } : buck;
      // Whole patterns of the modulator: 256 bits of 10 µs.
      const duration = 2 * 2.56e-3;
      const fast = await testBench({ lamp, firmware: steady(lamp, [drive, drive]) });
      const edges = await recorded(fast, 'current-1', 10e6, duration);
      const slow = await testBench({ lamp, firmware: steady(lamp, [drive, drive]) });
      const averaged = await recorded(slow, 'current-1', 12.5e3, duration);
      expect(Math.abs(mean(edges) / mean(averaged) - 1)).toBeLessThan(within);
    },
  );

  it('shows rising and falling edges of the stated length', async () => {
    const lamp: Lamp = { ...bareLamp, stage: { kind: 'linear', riseTime: 2e-6, fallTime: 5e-6 } };
    const slowClock = playing((hardware) => {
      hardware.setModulator(0, { kind: 'pwm', bits: 8, frequency: 10e3, phase: 0 });
      hardware.setPeakCurrent(0, 0.5);
      hardware.setDrive(0, 128);
    });
    const bench = await testBench({ lamp, firmware: slowClock });
    const current = await recorded(bench, 'current-1', 20e6, 200e-6);
    const top = Math.max(...current);
    const between = (low: number, high: number): number =>
      Array.from(current).filter((value) => value > low * top && value < high * top).length;
    // 10 % to 90 % of two rises of 2 µs and two falls of 5 µs, at 50 ns a sample.
    expect(Math.abs(between(0.1, 0.9) - (2 * 0.8 * (2e-6 + 5e-6)) / 50e-9)).toBeLessThanOrEqual(4);
  });
});

describe('A converter that looks at instants', () => {
  it('sees single bits of the modulator where an integrating one sees their mean', async () => {
    const bench = await testBench({ rig: pointRig, firmware: steady(bareLamp, [0.25, 0]) });
    const points = await recorded(bench, 'current-1', 20e3, 50e-3);
    const full = Math.max(...points);
    const on = Array.from(points).filter((value) => value > 0.99 * full).length;
    const off = Array.from(points).filter((value) => value < 0.01 * full).length;
    // A few instants fall on an edge of 8 ns.
    expect(on + off).toBeGreaterThan(0.98 * points.length);
    const steadyBench = await testBench({ firmware: steady(bareLamp, [0.25, 0]) });
    const means = await recorded(steadyBench, 'current-1', 20e3, 50e-3);
    expect(Math.max(...means) / full).toBeLessThan(0.3);
  });

  it('folds the tones of the modulator into the record', async () => {
    // A bit clock of 1 MHz at 1/50 density blinks at 20 kHz; looked at 20,000 times a second it seems to stand still.
    const bench = await testBench({ rig: pointRig, firmware: steady(bareLamp, [1311 / 65536, 0]) });
    const points = await recorded(bench, 'current-1', 20e3, 0.2);
    const changes = Array.from(points).filter(
      (value, k) => k > 0 && Math.abs(value - points[k - 1]!) > 0.1,
    ).length;
    expect(changes).toBeLessThan(points.length / 10);
  });
});

describe('Gate pulses one by one', () => {
  it('are the bits of the accumulator, neighbours joined', () => {
    const line = new DriveLine();
    line.setUp(0, { kind: 'pulse-density', bits: 8, clock: 1e6 }, 1, 0.4);
    const writes = [
      { at: 0, value: 37 },
      { at: 100e-6, value: 200 },
      { at: 300e-6, value: 256 },
      { at: 400e-6, value: 3 },
    ];
    for (const { at, value } of writes) line.write(at, value);
    const window = { t0: 50e-6, dt: 1e-6, count: 500 };
    const slow = pulseDensityBitByBit({ bits: 8, clock: 1e6, phase: 0.4 }, writes, window);
    const seen = new Float64Array(500);
    let last = 0;
    for (const { on, off } of gatePulses(line, 50e-6, 550e-6)) {
      expect(on).toBeGreaterThan(last);
      last = off;
      for (let k = Math.round((on - 50e-6) * 1e6); k < Math.round((off - 50e-6) * 1e6); k++)
        seen[k] = 1;
    }
    expect(Array.from(seen)).toEqual(Array.from(slow, (value) => Math.round(value)));
  });
});
