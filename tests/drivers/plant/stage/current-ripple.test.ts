import { describe, expect, it } from 'vitest';
import { multiplyByRipple } from '../../../../drivers/plant/stage/current-ripple.ts';

const quiet = {
  supply: { ripple: 0, rippleFeedthrough: 1, mainsFrequency: 50 },
  stage: { noise: 0, noiseBandwidth: 100 },
};
type Model = Parameters<typeof multiplyByRipple>[1];

function made(
  { supply = {}, stage = {} }: { readonly supply?: object; readonly stage?: object },
  { count, t0, dt }: { readonly count: number; readonly t0: number; readonly dt: number },
  point = false,
): Float32Array {
  const samples = new Float32Array(count).fill(1);
  const model = { supply: { ...quiet.supply, ...supply }, stage: { ...quiet.stage, ...stage } };
  multiplyByRipple({ samples, t0, dt }, model as unknown as Model, point);
  return samples;
}

describe('Ripple and noise on the current', () => {
  it('is a sine of twice the mains frequency, averaged over each sample', () => {
    const dt = 1e-3;
    const block = made({ supply: { ripple: 0.1 } }, { count: 50, t0: 0.0123, dt });
    for (let k = 0; k < 50; k++) {
      const from = 0.0123 + k * dt;
      const w = 2 * Math.PI * 100;
      const mean = (Math.cos(w * from) - Math.cos(w * (from + dt))) / (w * dt);
      expect(block[k]).toBeCloseTo(1 + 0.1 * mean, 6);
    }
  });

  it('is taken at the start of the sample by a converter that looks at instants', () => {
    const block = made({ supply: { ripple: 0.1 } }, { count: 5, t0: 0.0025, dt: 1e-3 }, true);
    expect(block[0]).toBeCloseTo(1.1, 6);
  });

  it('has noise of the stated standard deviation, the same in every record', () => {
    const one = made({ stage: { noise: 0.05 } }, { count: 200_000, t0: 0, dt: 1e-3 });
    const again = made({ stage: { noise: 0.05 } }, { count: 1000, t0: 100, dt: 1e-3 });
    const mean = one.reduce((sum, value) => sum + value, 0) / one.length;
    const square = one.reduce((sum, value) => sum + (value - mean) ** 2, 0) / one.length;
    // Standard error of a standard deviation from about 20,000 independent grid points: 0.5 %.
    expect(mean).toBeCloseTo(1, 2);
    expect(Math.sqrt(square) / 0.05).toBeCloseTo(1, 1);
    expect(Math.abs(again[500]! - one[100_500]!)).toBeLessThan(1e-6);
  });
});
