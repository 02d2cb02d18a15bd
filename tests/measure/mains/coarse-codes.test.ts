import { describe, expect, it } from 'vitest';
import { thdCurrent } from '../../../harness/measure/metrics/mains/thd-current.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { observing } from '../light-of.ts';
import { recorded } from '../recorded.ts';

/** 0.3 A at 50 Hz with a third harmonic of 10 %, rounded. */
function coarse(step: number, phase: number) {
  const samples = Float64Array.from({ length: 8000 }, (_, k) => {
    const turn = (2 * Math.PI * 50 * k) / 20_000 + phase;
    return Math.round((0.3 * Math.sin(turn) + 0.03 * Math.sin(3 * turn + 1)) / step) * step;
  });
  return { samples, rate: 20_000, start: 0, unit: 'A' as const, clipped: 0, step };
}

describe('the distortion of a mains current in coarse codes', () => {
  it.each([0.01, 0.03, 0.05])('of %f A holds the true 10 % (closed form)', (step) => {
    for (let phase = 0; phase < 3; phase += 1.3) {
      const waveform = coarse(step, phase);
      const record = recorded('mains-current', 'mains-current', waveform);
      const records = [record];
      const observation = { ...observing(thdCurrent, waveform), of: 'lamp', records };
      const { outcome } = assess(thdCurrent, observation, [], 2);
      if (!outcome.measured) throw new Error('refused');
      const input = {
        capture: record.capture,
        signal: 'mains-current',
        of: 'mains-current',
      } as const;
      const assessed = assess(
        thdCurrent,
        observation,
        [{ ...input, standardScale: 0, timeBase: 0, step }],
        2,
      );
      if (!('expanded' in assessed)) throw new Error('refused');
      expect(outcome.floor).toBeGreaterThan(step / 0.3 / 10);
      expect(Math.abs(assessed.outcome.value - 0.1)).toBeLessThan(assessed.expanded);
    }
  });
});
