import { describe, expect, it } from 'vitest';
import { curveDeviation } from '../../../harness/measure/metrics/fade/curve-deviation.ts';
import { hannNoise } from '../../../harness/measure/signal/hann.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';
import { fade, lengthOf, observe, recordOf } from '../lamp-of.ts';
import { outcome, standardOf } from './quick-fade.ts';

const [start, seconds, bottom] = [0.5, 1, 0.1];
const segments = fade(1, bottom, seconds, { before: start, after: 0.7 });
const straight = (t: number) => bottom ** Math.min(1, Math.max(0, (t - start) / seconds));

function deviating(
  light: (t: number) => number,
  { noise = 0, ...parameters }: Readonly<Record<string, number>> = {},
) {
  const waveform = recordOf(light, lengthOf(segments), { rate: 1000, noise });
  return observe(curveDeviation, [{ channel: 'warm', segments, waveform }], 'warm', { parameters });
}

/** A bump of a height and a width about the middle of the fade. */
const bumped = (height: number, wide: number) => (t: number) => {
  const x = (t - start - seconds / 2) / wide;
  return straight(t) * (1 + (Math.abs(x) < 0.5 ? height * Math.cos(Math.PI * x) ** 2 : 0));
};

/** What a Hann window of one width leaves of the top of such a bump, by summation. */
function left(width: number, wide: number): number {
  let [sum, weights] = [0, 0];
  for (let k = 0; k < 2000; k++) {
    const x = ((k + 0.5) / 2000 - 0.5) * width;
    const weight = 1 + Math.cos((2 * Math.PI * x) / width);
    sum += weight * (Math.abs(x) < wide / 2 ? Math.cos((Math.PI * x) / wide) ** 2 : 0);
    weights += weight;
  }
  return sum / weights;
}

describe('the deviation of a fade', () => {
  it.each([0.05, -0.05])('is that of its bump of %f, averaged, and says where', (height) => {
    const { value, evidence } = outcome(curveDeviation, deviating(bumped(height, 0.16)));
    expect(value).toBeCloseTo(0.05 * left(0.04, 0.16), 3);
    const { at, ...notes } = evidence.notes;
    expect(Number(at)).toBeCloseTo(1, 1);
    expect(notes).toEqual({
      'level-there': expect.closeTo(Math.sqrt(bottom), 2),
      'part-seen': 1,
    });
    expect(evidence.charts.map(({ title }) => title)).toEqual(['Fade of warm']);
  });

  it('is looked for in averages of the width that is asked for', () => {
    const wide = outcome(curveDeviation, deviating(bumped(0.05, 0.16), { resolution: 0.1 }));
    expect(wide.value).toBeCloseTo(0.05 * left(0.1, 0.16), 3);
  });

  it('may be blunted by its averages: by four thirds of what averages of half the width show more', () => {
    const made = outcome(curveDeviation, deviating(bumped(0.05, 0.06)));
    const more = 0.05 * (left(0.02, 0.06) - left(0.04, 0.06));
    expect(standardOf(made, 'width of the averages')).toBeCloseTo(((4 / 3) * more) / 2, 3);
    const quick = curveDeviation.compute(deviating(bumped(0.05, 0.06)), { evidence: false });
    expect(quick).toMatchObject({
      measured: true,
      value: made.value,
      contributions: expect.arrayContaining([{ name: 'width of the averages', standard: 0 }]),
    });
  });

  it('rests on where the ends of the line are read: a part of the way', () => {
    const made = outcome(curveDeviation, deviating(bumped(0.05, 0.16)));
    expect(standardOf(made, 'ends of the line')).toBeCloseTo(0.0005 * 0.04 * Math.LN10, 6);
  });
});

describe('noise', () => {
  const noise = 0.01;
  const white = (hannNoise * noise) / Math.sqrt(40);

  it('is the largest of many averages, to either side, where it may have made all of it', () => {
    const made = outcome(curveDeviation, deviating(straight, { noise }));
    const [contribution] = made.contributions;
    expect(contribution).toMatchObject({ name: 'noise of the averages', isNoise: true });
    const level = Number(made.evidence.notes['level-there']);
    // About a hundred averages, of which every second is a new one.
    const byChance = (largestOfNormals(96) + 1) / 2;
    const least = (byChance * white) / level;
    expect(contribution?.standard).toBeGreaterThan(0.9 * least);
    expect(contribution?.standard).toBeLessThan(2 * least);
    expect(made.value).toBeLessThan(2 * Number(contribution?.standard));
  });

  it('is that of one average and of the line between two plateaus where there clearly is a deviation', () => {
    const made = outcome(curveDeviation, deviating(bumped(0.4, 0.16), { noise: 0.002 }));
    const level = Number(made.evidence.notes['level-there']);
    // An average on either plateau moves its end of the line by its share of that plateau's light.
    const one = 0.2 * white * Math.hypot(1 / level, 1, 1 / bottom);
    expect(standardOf(made, 'noise of the averages')).toBeGreaterThan(0.8 * one);
    expect(standardOf(made, 'noise of the averages')).toBeLessThan(1.6 * one);
  });

  it('hides averages of which it would move one by more than is allowed, and the fade where they are too many', () => {
    // Averages scatter by 0.19 % of full light: 0.5 % of what is left at 63 % of the way.
    const hidden = curveDeviation.compute(
      deviating(straight, { noise, 'visible-noise': 0.005 }),
      {},
    );
    expect(hidden).toEqual({
      ...{ measured: false, reason: 'below-noise', needed: 0.75, unit: '1' },
      found: expect.closeTo(Math.log10(0.005 / white), 1),
      note: 'part of the fade that rises above the noise',
    });
    const some = outcome(curveDeviation, deviating(straight, { noise, 'visible-noise': 0.015 }));
    expect(some.evidence.notes['part-seen']).toBeCloseTo(Math.log10(0.015 / white), 1);
  });
});

describe('plateaus that go on', () => {
  it('leave open what the line would be off where it meets them', () => {
    // Behind the fade the light goes on by 0.4 % of its final level a second.
    const slope = 0.004 * bottom;
    const light = (t: number) => straight(t) + slope * Math.max(0, t - start - seconds);
    const made = outcome(curveDeviation, deviating(light));
    // Settled from 40 % of 0.7 s on: the middle is 0.49 s behind the end.
    expect(standardOf(made, 'slope of the plateaus')).toBeCloseTo((0.004 * 0.49) / Math.sqrt(3), 4);
    expect(
      standardOf(outcome(curveDeviation, deviating(straight)), 'slope of the plateaus'),
    ).toBeLessThan(1e-6);
    // What that makes of a straight fade is within U.
    expect(made.value).toBeLessThan(2 * standardOf(made, 'slope of the plateaus'));
  });

  it('scatter by what is slower than samples, and that counts as noise', () => {
    const wave = (t: number) => 0.001 * Math.sin(2 * Math.PI * 6.7 * t + 1);
    const made = outcome(
      curveDeviation,
      deviating((t) => straight(t) + wave(t)),
    );
    expect(made.value).toBeGreaterThan(0.002);
    expect(made.value).toBeLessThan(2 * standardOf(made, 'noise of the averages'));
  });
});
