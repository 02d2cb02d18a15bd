import { describe, expect, test } from 'vitest';
import { bandLimitedModulation } from '../../../harness/measure/metrics/flicker/band-limited-modulation.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { integrated, observing, pulses, sampled, withNoise } from '../light-of.ts';

const tau = 2 * Math.PI;
type Tones = readonly (readonly [number, number])[];
const tones = (list: Tones, seconds = 2, phase = 0) =>
  sampled(
    (t) => list.reduce((sum, [f, a], k) => sum + a * Math.sin(tau * f * t + phase + k), 1),
    20e3,
    seconds,
  );

function found(waveform: Waveform, cutOff: number, noise = 0) {
  const observation = observing(bandLimitedModulation, waveform, { 'cut-off': cutOff });
  const input = {
    standardScale: 0,
    standardOffset: 0,
    noise,
    timeBase: 0,
    step: waveform.step ?? 0,
  };
  const calibration = [{ capture: 'light', signal: 'light', of: 'light', ...input }] as const;
  const assessed = assess(bandLimitedModulation, observation, calibration, 2);
  if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
  const { outcome, expanded } = assessed;
  return { value: outcome.value, expanded, floor: outcome.floor ?? 0 };
}

/** A few pseudo-random numbers, 0 to 1, the same every time. */
const part = (k: number) => (k * 0.6180339887498949) % 1;

describe('a tone above the cut-off leaves nothing, one below stays whole, however the record cuts it off', () => {
  test.each([0.7, 1, 3, 11, 31])('%f Hz off the cut-off', (off) => {
    for (let k = 1; k <= 3; k++) {
      const seconds = 2 + part(k) / 2;
      const above = found(tones([[200 + off, 0.3]], seconds, 6 * part(3 * k)), 200);
      expect(above.value).toBeLessThan(1e-3);
      const below = found(tones([[200 - off, 0.3]], seconds, 6 * part(3 * k)), 200);
      expect(Math.abs(below.value - 0.3)).toBeLessThan(below.expanded + 2e-3);
    }
  });

  test.each([-0.3, 0.02, 0.3])('%f Hz off it in 2 s, U holds both', (off) => {
    // Fourier components of 2 s lie half a hertz apart: the procedure would find some of the tone on either side.
    const { value, expanded } = found(tones([[200 + off, 0.3]]), 200);
    expect(value - expanded).toBeLessThan(1e-3);
    expect(value + expanded).toBeGreaterThan(0.3);
  });

  test('random tones on either side', () => {
    for (let k = 1; k <= 8; k++) {
      const [below, above] = [20 + 170 * part(k), 215 + 3000 * part(7 * k)];
      const { value, expanded } = found(
        tones(
          [
            [below, 0.1],
            [above, 0.4],
          ],
          2 + part(5 * k),
          k,
        ),
        200,
      );
      expect(Math.abs(value - 0.1), `${below} and ${above} Hz`).toBeLessThan(expanded + 1e-3);
      expect(expanded).toBeLessThan(0.02);
    }
  });

  test('square waves keep their tones below it', () => {
    for (const frequency of [231, 250, 317.3, 703.7]) {
      const { value, expanded } = found(integrated(pulses(frequency, 0.5, 0.2, 1.8), 20e3, 2), 200);
      expect(value - expanded).toBeLessThan(1e-3);
      expect(value).toBeLessThan(0.01);
    }
    const one = found(integrated(pulses(150.37, 0.5, 0.5, 1), 20e3, 2), 200);
    // (4/π)·0.25 over 0.75 (Fourier series).
    expect(Math.abs(one.value - 1 / (0.75 * Math.PI))).toBeLessThan(one.expanded);
  });
});

test('a tone on the cut-off stays, and U reaches to where it is gone', () => {
  const { value, expanded } = found(tones([[200, 0.3]]), 200);
  expect(value).toBeCloseTo(0.3, 3);
  expect(expanded).toBeGreaterThan(0.3);
});

test('a slow tone, a drift and a single dip are in it', () => {
  expect(found(tones([[2.2, 0.1]]), 40).value).toBeCloseTo(0.1, 3);
  expect(
    found(
      sampled((t) => 1 + 0.02 * t, 20e3, 2),
      200,
    ).value,
  ).toBeCloseTo(0.04 / 2.04, 4);
  const dip = found(
    sampled((t) => (t > 1 && t < 1.003 ? 0 : 1), 20e3, 2),
    200,
  );
  // The integral of an ideal low pass over the dip (sine integral, computed by the transform of the very record).
  expect(Math.abs(dip.value - 0.9785)).toBeLessThan(0.005);
});

describe('noise', () => {
  test('is taken off, within U', () => {
    let outside = 0;
    for (let seed = 1; seed <= 6; seed++) {
      const { value, expanded } = found(withNoise(tones([[100, 0.02]]), 0.02, seed), 200, 0.02);
      if (Math.abs(value - 0.02) > expanded) outside++;
      expect(expanded).toBeLessThan(0.015);
    }
    expect(outside).toBeLessThanOrEqual(1);
  });

  test('hides no more than the floor', () => {
    for (let seed = 1; seed <= 5; seed++) {
      const { value, expanded, floor } = found(withNoise(tones([]), 0.003, seed), 200, 0.003);
      expect(floor).toBeGreaterThan(5e-5);
      expect(value - expanded).toBeLessThan(1e-9);
      expect(expanded).toBeLessThan(1.5e-3);
    }
  });

  test('half a code is hidden', () => {
    const { samples, ...rest } = sampled((t) => 1 + 0.02 * Math.sin(tau * 30 * t), 20e3, 2);
    const coded = { ...rest, step: 1, samples: samples.map((value) => Math.round(20 * value)) };
    const { value, expanded } = found(coded, 200);
    expect(value + expanded).toBeGreaterThan(0.02);
  });
});
