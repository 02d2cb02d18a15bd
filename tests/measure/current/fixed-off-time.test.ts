import { describe, expect, it } from 'vitest';
import {
  type FixedOffTimeCircuit,
  fixedOffTime,
} from '../../../harness/measure/features/current/fixed-off-time.ts';

const stage: FixedOffTimeCircuit = {
  ...{ supplyVoltage: 48, ledVoltage: 30, inductance: 100e-6, offTime: 1e-6, peakCurrent: 0.7 },
};

const designed = (change: Partial<FixedOffTimeCircuit>) => fixedOffTime({ ...stage, ...change });

describe('the design of a fixed off-time stage', () => {
  it('has the diode’s drop in its ripple: 31 V · 1 µs / 100 µH (by hand)', () => {
    expect(designed({ diodeDrop: 1 })).toMatchObject({
      ripple: expect.closeTo(0.31, 12),
      meanCurrent: expect.closeTo(0.7 - 0.155, 12),
      onTime: expect.closeTo(31e-6 / 18, 15),
    });
  });

  it('says in words why it has no figures', () => {
    const refused = (broken: string, because: string) => ({ continuous: false, broken, because });
    const positive = 'voltages, inductance, off-time and peak current must be above zero';
    for (const change of [{ supplyVoltage: 0 }, { peakCurrent: Number.POSITIVE_INFINITY }])
      expect(designed(change)).toEqual(refused('out-of-domain', positive));
    const negative = 'comparator delay and diode drop must not be negative';
    for (const change of [{ comparatorDelay: -1e-9 }, { diodeDrop: -0.1 }])
      expect(designed(change)).toEqual(refused('out-of-domain', negative));
    expect(designed({ supplyVoltage: 24 })).toEqual(
      refused('no-headroom', 'the supply of 24 V is not above the LED voltage of 30 V'),
    );
  });

  it('falls to zero and no further where the ripple is twice the mean', () => {
    // 32 V · 1 µs / 128 µH = 0.25 A, all of the peak.
    const limit = { ledVoltage: 32, inductance: 2 ** -13, offTime: 2 ** -20, peakCurrent: 0.25 };
    expect(designed(limit)).toMatchObject({ continuous: false, broken: 'discontinuous' });
    expect(designed({ ...limit, peakCurrent: 0.26 })).toMatchObject({ continuous: true });
  });
});
