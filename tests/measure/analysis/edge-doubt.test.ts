import { expect, it } from 'vitest';
import { edgeDoubt } from '../../../harness/measure/analysis/edge-doubt.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';

it('pulses that keep step with the samples leave their mean open, unless the samples are means themselves', () => {
  const samples = Float32Array.from({ length: 4000 }, (_, k) => (k % 4 === 0 ? 1 : 0));
  const instants: Waveform = { samples, rate: 20e3, start: 0, unit: 'A', clipped: 0 };
  expect(edgeDoubt(instants)).toBeGreaterThan(0.05);
  expect(edgeDoubt({ ...instants, means: true })).toBe(0);
});
