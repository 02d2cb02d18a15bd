import { describe, expect, it } from 'vitest';
import { fadeUndershoot } from '../../../harness/measure/metrics/fade/fade-undershoot.ts';
import { hannNoise } from '../../../harness/measure/signal/hann.ts';
import { largestAmongNoise } from '../../../harness/measure/signal/largest-among-noise.ts';
import { fade, lengthOf, levelAt, observe, recordOf } from '../lamp-of.ts';
import { changedRecord } from '../recorded.ts';
import { outcome, standardOf } from './quick-fade.ts';

/** From 0.1 to 0.5 between 0.5 s and 1.5 s. */
const segments = fade(0.1, 0.5, 1, { before: 0.5, after: 1 });
const amplitude = 0.4;

interface Made {
  readonly noise?: number;
  readonly step?: number;
  readonly smoothing?: number;
}

function undershooting(added: (t: number) => number, { noise = 0, step, smoothing }: Made = {}) {
  const light = (t: number) => levelAt(segments, t) + added(t);
  const waveform = recordOf(light, lengthOf(segments), { rate: 1000, noise });
  const parameters = smoothing === undefined ? {} : { smoothing };
  const made = observe(fadeUndershoot, [{ channel: 'warm', segments, waveform }], 'warm', {
    parameters,
  });
  const [record] = made.records;
  return record && step !== undefined
    ? { ...made, records: [changedRecord(record, { step })] }
    : made;
}

/** A dip of a size whose sides are straight, from `at` for `wide`. */
const dip =
  (at: number, size: number, wide = 0.1) =>
  (t: number) =>
    -size * Math.max(0, 1 - Math.abs(t - at - wide / 2) / (wide / 2));
/** What a Hann window takes off a tip with straight sides: the mean distance from its middle, 0.25 - 1/π² of its width. */
const blunted = (width: number, wide = 0.1) => ((0.25 - 1 / Math.PI ** 2) * width) / (wide / 2);

describe('an undershoot', () => {
  it.each([
    ['before the start', 0.3],
    ['behind the arrival', 1.9],
  ])('%s is the depth of the dip over the step, and says where', (_, at) => {
    const made = outcome(fadeUndershoot, undershooting(dip(at, 0.01)));
    // The dip lowers its plateau's mean a little.
    expect(Math.abs(made.value - (0.01 * (1 - blunted(0.02))) / amplitude)).toBeLessThan(3e-4);
    expect(made.evidence.notes).toEqual({
      at: expect.closeTo(at + 0.05, 1),
      'plateau-scatter': expect.any(Number),
    });
    expect(Math.abs(Number(made.evidence.notes['at']) - at - 0.05)).toBeLessThan(0.006);
    expect(made.evidence.charts.map(({ title }) => title)).toEqual(['Fade of warm']);
  });

  it('is averaged over the time that is asked for', () => {
    const made = outcome(fadeUndershoot, undershooting(dip(1.9, 0.01), { smoothing: 0.05 }));
    expect(Math.abs(made.value - (0.01 * (1 - blunted(0.05))) / amplitude)).toBeLessThan(1e-3);
    expect(made.value).toBeLessThan(0.022);
  });

  it('within the fade is what it goes back from where it was', () => {
    // Its own rise within the dip's first half, 0.05 s, is e^(0.05 ln 5): less than the dip.
    const made = outcome(fadeUndershoot, undershooting(dip(1, 0.1, 0.1)));
    expect(made.value).toBeGreaterThan(0.1);
    expect(made.value).toBeLessThan(0.1 / amplitude);
  });

  it('has no part of the overshoot before it, and none of what comes back from it', () => {
    const over = (t: number) => -dip(1.7, 0.05)(t);
    expect(outcome(fadeUndershoot, undershooting(over)).value).toBeLessThan(2e-4);
  });

  it('right behind the arrival may be more by what was not reached before it: half is given back, half is open', () => {
    const size = 0.02;
    // The light turns at the very end of its fade: an average there has not come to the plateau.
    const made = outcome(fadeUndershoot, undershooting(dip(1.5, size, 0.08)));
    const open = standardOf(made, 'level reached before') / 0.85;
    expect(open).toBeGreaterThan(1e-3);
    expect(made.value - open).toBeLessThan(size / amplitude);
    expect(made.value + 2 * 0.85 * open).toBeGreaterThan(
      (size * (1 - blunted(0.02, 0.08))) / amplitude,
    );
    // Long after it nothing is open.
    const late = outcome(fadeUndershoot, undershooting(dip(1.9, size)));
    expect(standardOf(late, 'level reached before')).toBeLessThan(5e-4);
  });
});

describe('what hides an undershoot', () => {
  it('is noise: of the largest of so many averages, both sides of the way', () => {
    const noise = 0.004;
    const made = outcome(fadeUndershoot, undershooting(dip(1.9, 0.05), { noise }));
    const one = (Math.SQRT2 * hannNoise * noise) / Math.sqrt(20) / amplitude;
    // 2.2 s from 40 % of the first plateau on, an average every 5 ms, of which every second is new.
    const { standard } = largestAmongNoise(0.1, one, 226);
    expect(made.contributions[0]).toMatchObject({ name: 'noise of the averages', isNoise: true });
    expect(standardOf(made, 'noise of the averages') / standard).toBeGreaterThan(0.85);
    expect(standardOf(made, 'noise of the averages') / standard).toBeLessThan(1.15);
    expect(Math.abs(made.value - (0.05 * (1 - blunted(0.02))) / amplitude)).toBeLessThan(4 * one);
    const plain = outcome(
      fadeUndershoot,
      undershooting(() => 0, { noise }),
    );
    expect(plain.value).toBeGreaterThanOrEqual(0);
    expect(plain.value).toBeLessThan(2 * standard);
  });

  it('is the scatter of its plateaus: the larger of both, twice that is its floor', () => {
    const size = 0.004;
    const after = (t: number) => (t > 1.8 ? size * Math.sin(2 * Math.PI * 10 * t) : 0);
    const x = 10 * 0.02;
    const passed = Math.sin(Math.PI * x) / (Math.PI * x) / (1 - x * x);
    const rms = (size * passed) / Math.SQRT2 / amplitude;
    const made = outcome(fadeUndershoot, undershooting(after));
    expect(standardOf(made, 'scatter of the averages') / rms).toBeCloseTo(1, 1);
    expect(made.evidence.notes['plateau-scatter']).toBe(
      standardOf(made, 'scatter of the averages'),
    );
    const before = (t: number) => (t < 0.48 ? size * Math.sin(2 * Math.PI * 10 * t) : 0);
    const early = outcome(fadeUndershoot, undershooting(before));
    expect(standardOf(early, 'scatter of the averages') / rms).toBeCloseTo(1, 1);
    // Less than twice the scatter would not have stood out.
    const calm = outcome(
      fadeUndershoot,
      undershooting((t) => (t < 0.48 ? 1e-4 * Math.sin(300 * t) : 0)),
    );
    expect(calm.floor).toBeGreaterThanOrEqual(calm.value);
    expect(calm.floor).toBeGreaterThanOrEqual(2 * standardOf(calm, 'scatter of the averages'));
  });

  it('is what codes hide: a step of light without noise', () => {
    const made = outcome(
      fadeUndershoot,
      undershooting(() => 0, { step: 0.002 }),
    );
    expect(made.floor).toBeCloseTo(0.002 / amplitude, 4);
    expect(
      outcome(
        fadeUndershoot,
        undershooting(() => 0),
      ).floor,
    ).toBeLessThan(1e-4);
  });

  it('leaves nothing to be said where it is half of the step', () => {
    const wild = (t: number) => (t > 1.72 ? 0.35 * Math.sin(2 * Math.PI * 20 * t) : 0);
    expect(fadeUndershoot.compute(undershooting(wild))).toEqual({
      ...{ measured: false, reason: 'below-noise', needed: 0.5, unit: '1' },
      found: expect.closeTo(
        (0.35 * Math.sin(Math.PI * 0.4)) / (Math.PI * 0.4) / (1 - 0.16) / Math.SQRT2 / amplitude,
        1,
      ),
    });
  });
});
