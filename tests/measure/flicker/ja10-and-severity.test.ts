import { expect, it } from 'vitest';
import { analysisOf } from '../../../harness/measure/analysis/analysis.ts';
import { sineSeverity } from '../../../harness/measure/features/flicker/added-severity.ts';
import { bandFloor } from '../../../harness/measure/features/flicker/band-limited-doubt.ts';
import { blindShare } from '../../../harness/measure/features/flicker/components.ts';
import { leastSensation } from '../../../harness/measure/features/flicker/least-sensation.ts';
import { lightSeverity } from '../../../harness/measure/features/flicker/light-flickermeter.ts';
import { constantSeverity } from '../../../harness/measure/features/flicker/short-term-severity.ts';
import { ja10Modulation } from '../../../harness/measure/metrics/flicker/ja10-modulation.ts';
import {
  shortTermLightModulation,
  tenMinuteLightModulation,
} from '../../../harness/measure/metrics/flicker/short-term-light-modulation.ts';
import { observing, outcomeOf, sampled } from '../light-of.ts';

it('JA10: the worst of the cut-offs up to 200 Hz as a share of the limit, and all five among the notes', () => {
  // A tone that only the two highest cut-offs let pass, and one that all but the lowest do.
  const waveform = sampled(
    (t) => 50 * (1 + 0.06 * Math.sin(2 * Math.PI * 60 * t) + 0.1 * Math.sin(2 * Math.PI * 300 * t)),
    20_000,
    2,
  );
  const found = ja10Modulation.compute(observing(ja10Modulation, waveform, { limit: 0.15 }));
  if (!found.measured) throw new Error(found.reason);
  const { charts, notes } = found.evidence;
  const at = (f: number) => Number(notes[`modulation-below-${f}-hz`]);
  expect(Object.keys(notes)).toEqual(
    [40, 90, 200, 400, 1000].map((f) => `modulation-below-${f}-hz`),
  );
  expect(at(40)).toBeLessThan(0.001);
  expect(at(90)).toBeCloseTo(0.06, 3);
  expect(at(200)).toBeCloseTo(0.06, 3);
  expect(at(400)).toBeGreaterThan(0.13);
  expect(at(1000)).toBeGreaterThan(0.13);
  expect(found.value).toBeCloseTo(Math.max(at(90), at(200)) / 0.15, 12);
  // sinc(200/20 000) takes 1.6e-4 of a tone at the cut-off.
  const averaging = found.contributions.find(({ name }) => name === 'averaging and bandwidth');
  const [low, high] = [90, 200].map(
    (f) => (0.06 * ((Math.PI * f) / 20_000) ** 2) / 6 / Math.sqrt(3) / 0.15,
  );
  expect(averaging?.standard).toBeGreaterThan(0.95 * (low ?? 9));
  expect(averaging?.standard).toBeLessThan(1.05 * (high ?? 0));
  const lit = { waveform, analysis: analysisOf(waveform) };
  expect(found.floor).toBeCloseTo(bandFloor(lit, 200) / 0.15, 15);
  expect(charts).toEqual([
    {
      kind: 'curve',
      title: 'Modulation below each cut-off',
      x: { label: 'cut-off', unit: 'Hz', scale: 'log' },
      y: { label: 'modulation', unit: '1', scale: 'linear' },
      lines: [
        {
          name: 'light',
          role: 'measured',
          x: [40, 90, 200, 400, 1000],
          y: [40, 90, 200, 400, 1000].map(at),
        },
        { name: 'limit', role: 'limit', x: [40, 200], y: [0.15, 0.15] },
      ],
      marks: [],
    },
  ]);
});

it('JA10 without evidence is the share alone', () => {
  const waveform = sampled((t) => 50 * (1 + 0.06 * Math.sin(2 * Math.PI * 150 * t)), 20_000, 2);
  const asked = observing(ja10Modulation, waveform, { limit: 0.15 });
  expect(ja10Modulation.compute(asked, { evidence: false })).toEqual({
    measured: true,
    value: expect.closeTo(0.4, 3),
    contributions: [],
    evidence: { charts: [], notes: {} },
  });
});

it('JA10 without a limit of its own goes by 30 %, and a slow record is refused', () => {
  expect(ja10Modulation.parameters[0]?.default).toBe(0.3);
  const slow = sampled((t) => 50 + t, 10_000, 2);
  expect(outcomeOf(ja10Modulation, slow)).toMatchObject({ reason: 'too-slow', needed: 20_000 });
});

it('PstLM of a sine at 20 Hz: the root of 0.5096 of half the square of what is weighted', () => {
  // |H(20 Hz)| = 0.2766, and the 35 Hz low pass leaves 0.99940 (sixth order).
  const step = 0.01;
  const waveform = sampled((t) => 50 * (1 + 0.01 * Math.sin(2 * Math.PI * 20 * t)), 2000, 180, {
    step,
  });
  const found = shortTermLightModulation.compute(observing(shortTermLightModulation, waveform));
  if (!found.measured) throw new Error(found.reason);
  const { value, contributions, evidence, floor } = found;
  expect(value / Math.sqrt((0.5096 * 1.1016e6 * (0.01 * 0.2766) ** 2) / 2)).toBeCloseTo(1, 1);
  expect(value).toBeCloseTo(lightSeverity(waveform, 50, 1.1016e6), 6);
  expect(evidence.notes).toEqual({ scale: 1.1016e6 });
  expect(evidence.charts.map(({ kind }) => kind)).toEqual(['waveform', 'spectrum']);
  const lit = { waveform, analysis: analysisOf(waveform) };
  const rounding = sineSeverity(blindShare(lit), 1.1016e6);
  const least = constantSeverity(leastSensation(lit, 1.1016e6));
  expect(least).not.toBeCloseTo(rounding, 4);
  expect(floor).toBeCloseTo(Math.max(least, rounding), 9);
  const by = Object.fromEntries(contributions.map(({ name, standard }) => [name, standard]));
  expect(Object.keys(by)).toEqual([
    ...['realisation of the filters', 'noise of the record'],
    ...['components folded down', 'rounding'],
  ]);
  // 4 % at 2 kS/s.
  expect(by['realisation of the filters']).toBeCloseTo((value * 0.04) / Math.sqrt(3), 9);
  expect(by['rounding']).toBeCloseTo(Math.min(value, rounding) / Math.sqrt(3), 9);
  expect(by['components folded down']).toBeCloseTo(0, 6);
  expect(by['noise of the record']).toBeLessThan(1e-3 * value);
});

it('PstLM wants 180 s, or 600 s, and says which it is', () => {
  expect([shortTermLightModulation.id, tenMinuteLightModulation.id]).toEqual([
    'pst-lm',
    'pst-lm-10-min',
  ]);
  expect(
    [shortTermLightModulation, tenMinuteLightModulation].map(({ needs }) => needs.duration),
  ).toEqual([180, 600]);
  const short = sampled((t) => 50 + Math.sin(2 * Math.PI * 20 * t), 2000, 20);
  expect(outcomeOf(shortTermLightModulation, short)).toMatchObject({
    reason: 'too-short',
    needed: 180,
  });
});
