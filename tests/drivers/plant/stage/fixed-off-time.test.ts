import { describe, expect, it } from 'vitest';
import {
  type FixedOffTimeStage,
  inductorCurrent,
  operatingPoint,
  rmsCurrent,
} from '../../../../drivers/plant/stage/fixed-off-time.ts';

function stage(given: Partial<FixedOffTimeStage>): FixedOffTimeStage {
  return {
    supply: 48,
    ledVoltage: 30,
    inductance: 100e-6,
    offTime: 1e-6,
    peak: 0.7,
    comparatorDelay: 0,
    minimumOnTime: 0,
    diodeDrop: 0,
    dynamicResistance: 0,
    ...given,
  };
}

/** V_in, V_LED, L, t_off, I_pk -> ripple, mean, t_on, f. Computed from the design equations of fixed off-time control. */
const rows = [
  [48, 30, 100e-6, 1e-6, 0.7, 0.3, 0.55, 1.66667e-6, 375e3],
  [24, 12, 47e-6, 1.5e-6, 1, 0.382979, 0.808511, 1.5e-6, 333.333e3],
  [48, 24, 68e-6, 1e-6, 0.5, 0.352941, 0.323529, 1e-6, 500e3],
  [12, 3.3, 22e-6, 1e-6, 0.5, 0.15, 0.425, 0.37931e-6, 725e3],
] as const;

describe('Peak-current control with fixed off-time', () => {
  it.each(rows)(
    'settles at the worked figures: %d V in, %d V LED',
    (supply, ledVoltage, inductance, offTime, peak, ripple, mean, onTime, frequency) => {
      const point = operatingPoint(stage({ supply, ledVoltage, inductance, offTime, peak }));
      expect(point.mode).toBe('continuous');
      expect(point.peak - point.valley).toBeCloseTo(ripple, 6);
      expect(point.mean).toBeCloseTo(mean, 6);
      expect(point.onTime).toBeCloseTo(onTime, 10);
      expect(1 / point.period / frequency).toBeCloseTo(1, 5);
    },
  );

  it('has an rms current of 0.556776 A in the first worked row (computed)', () => {
    expect(rmsCurrent(operatingPoint(stage({})))).toBeCloseTo(0.556776, 6);
  });

  it('leaves continuous conduction in the worked row whose valley would be -10 mA', () => {
    const point = operatingPoint(stage({ ledVoltage: 36, peak: 0.35 }));
    expect(point.mode).toBe('discontinuous');
    expect(point.valley).toBe(0);
    // 0.35 A fall in 0.35 * 100 µH / 36 V, which is less than the off-time.
    expect(point.fallTime).toBeCloseTo(0.35 / 0.36e6, 12);
    expect(point.mean).toBeCloseTo(
      (0.35 * (point.onTime + point.fallTime)) / (2 * point.period),
      9,
    );
  });

  it('meets itself at the boundary between continuous and discontinuous conduction', () => {
    const peak = 0.3;
    const above = operatingPoint(stage({ peak: peak * (1 + 1e-9) }));
    const below = operatingPoint(stage({ peak: peak * (1 - 1e-9) }));
    expect(above.mode).toBe('continuous');
    expect(below.mode).toBe('discontinuous');
    expect(above.mean).toBeCloseTo(below.mean, 6);
    expect(above.period).toBeCloseTo(below.period, 12);
  });

  it('lets the comparator delay of 100 ns add 18 mA to the peak (computed)', () => {
    const late = operatingPoint(stage({ comparatorDelay: 100e-9 }));
    expect(late.peak - operatingPoint(stage({})).peak).toBeCloseTo(0.018, 9);
  });

  it('keeps its ripple but not its frequency when the supply changes', () => {
    const high = operatingPoint(stage({ supply: 56 }));
    const low = operatingPoint(stage({ supply: 40 }));
    expect(high.peak - high.valley).toBeCloseTo(low.peak - low.valley, 12);
    expect(1 / high.period).toBeGreaterThan(1.5 / low.period);
  });

  it.each([
    ['continuous', {}],
    ['discontinuous', { peak: 0.2 }],
  ] as const)('takes from the supply what the LEDs and the diode get (%s)', (_mode, given) => {
    const made = stage({ diodeDrop: 0.4, ...given });
    const point = operatingPoint(made);
    // Volt-seconds of the coil are zero over a period, so energy in = energy out.
    const steps = 200_000;
    let taken = 0;
    let delivered = 0;
    for (let i = 0; i < steps; i++) {
      const t = ((i + 0.5) / steps) * point.period;
      const current = inductorCurrent(point, t);
      const dt = point.period / steps;
      if (t < point.onTime) taken += made.supply * current * dt;
      delivered += made.ledVoltage * current * dt;
      if (t >= point.onTime) delivered += made.diodeDrop * current * dt;
    }
    expect(delivered / taken).toBeCloseTo(1, 4);
  });

  it('runs away to the LED voltage that balances the shortest on-time', () => {
    const made = stage({ ledVoltage: 3, supply: 48, minimumOnTime: 500e-9, dynamicResistance: 2 });
    const point = operatingPoint(made);
    expect(point.mode).toBe('shortest-on-time');
    // Balance: (48 V - V) * 0.5 µs = V * 1 µs gives V = 16 V, which 2 ohm make of 6.5 A more.
    const ripple = (16 * 1e-6) / 100e-6;
    expect(point.peak - point.valley).toBeCloseTo(ripple, 9);
    expect(point.mean).toBeCloseTo(0.7 - ripple / 2 + 6.5, 9);
  });

  it('drops out when the supply is not above the LEDs', () => {
    expect(operatingPoint(stage({ supply: 30 })).mode).toBe('dropout');
  });

  it('has an inductor current whose mean is the stated one', () => {
    const point = operatingPoint(stage({ comparatorDelay: 50e-9, diodeDrop: 0.5 }));
    let sum = 0;
    for (let i = 0; i < 10_000; i++)
      sum += inductorCurrent(point, ((i + 0.5) / 10_000) * point.period);
    expect(sum / 10_000).toBeCloseTo(point.mean, 6);
  });
});
