import { describe, expect, it } from 'vitest';
import { RampSampler } from '../../../../drivers/plant/sensors/ramp-sampler.ts';

describe('A sensor of one pole on a signal of straight pieces', () => {
  it('answers a step with 1 - exp(-2 pi B t), integrated over each sample', () => {
    const out = new Float32Array(20);
    const bandwidth = 1000;
    const dt = 1e-4;
    const sampler = new RampSampler(
      { samples: out, t0: 0, dt: dt },
      { bandwidth, point: false },
      0,
    );
    sampler.ramp(20 * dt, 1, 1);
    sampler.finish();
    const h = 2 * Math.PI * bandwidth;
    for (let k = 0; k < 20; k++) {
      const mean = 1 - (Math.exp(-h * k * dt) - Math.exp(-h * (k + 1) * dt)) / (h * dt);
      expect(out[k]).toBeCloseTo(mean, 6);
    }
  });

  it('gives the value at the start of each sample to a converter that looks at instants', () => {
    const out = new Float32Array(5);
    const sampler = new RampSampler(
      { samples: out, t0: 0, dt: 1e-3 },
      { bandwidth: 100, point: true },
      0,
    );
    sampler.ramp(5e-3, 1, 1);
    sampler.finish();
    const h = 2 * Math.PI * 100;
    for (let k = 0; k < 5; k++) expect(out[k]).toBeCloseTo(1 - Math.exp(-h * k * 1e-3), 6);
  });

  it('follows a ramp with a lag of one time constant', () => {
    const out = new Float32Array(100);
    const sampler = new RampSampler(
      { samples: out, t0: 0, dt: 1e-3 },
      { bandwidth: 1000, point: true },
      0,
    );
    sampler.ramp(0.1, 0, 1);
    sampler.finish();
    // After many time constants: u - slope / h.
    expect(out[90]).toBeCloseTo(0.9 - 10 / (2 * Math.PI * 1000), 6);
  });

  it('does not mind how a signal is cut into pieces', () => {
    const [whole, cut] = [new Float32Array(10), new Float32Array(10)];
    const options = { bandwidth: 3000, point: false };
    const one = new RampSampler({ samples: whole, t0: 0, dt: 1e-4 }, options, 0.2);
    one.ramp(1e-3, 0, 2);
    one.finish();
    const many = new RampSampler({ samples: cut, t0: 0, dt: 1e-4 }, options, 0.2);
    for (let i = 1; i <= 37; i++) many.ramp((i * 1e-3) / 37, (2 * (i - 1)) / 37, (2 * i) / 37);
    many.finish();
    for (let k = 0; k < 10; k++) expect(cut[k]).toBeCloseTo(whole[k]!, 6);
  });
});
