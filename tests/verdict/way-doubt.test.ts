import { expect, it } from 'vitest';
import { xyToUv1976, xyToXyz, xyzToXy } from '../../harness/measure/colorimetry/chromaticity.ts';
import { sdcmSteps, uvDistance } from '../../harness/measure/metrics/colour/distance-to-target.ts';
import { uvShift } from '../../harness/measure/metrics/colour/uv-shift.ts';
import type { ColourReading } from '../../harness/measure/observation.ts';
import { assess } from '../../harness/verdict/assess.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { observe, steps } from '../measure/lamp-of.ts';

const warm = { x: 0.4578, y: 0.4101 };
const lamp = [{ channel: 'warm', segments: steps([[1, 2]]), xy: [0.45, 0.41] as const }];

function reading(at: number, x = warm.x, change: Partial<ColourReading> = {}): ColourReading {
  const plain = { capture: 'colour', integration: 0.1, state: 'good', of: 'lamp' } as const;
  return { ...plain, at, ...xyToXyz({ x, y: warm.y }, 100), ...change };
}

const sensor: InputCalibration = {
  ...{ capture: 'colour', signal: 'colour', of: 'lamp', standardOffset: 0, noise: 0 },
  ...{ standardScale: 0.01, timeBase: 0, step: 0 },
};

function notesOf(
  metric: typeof sdcmSteps,
  colour: readonly ColourReading[],
  standardScale = 0.01,
  change = {},
) {
  const observation = observe(metric, lamp, 'lamp', { colour, ...change });
  const assessed = assess(metric, observation, [{ ...sensor, standardScale }], 2);
  if (!assessed.outcome.measured) throw new Error(JSON.stringify(assessed.outcome));
  const { notes } = assessed.outcome.evidence;
  return [
    notes["standard-uncertainty-u'"],
    notes["standard-uncertainty-v'"],
    notes["correlation-u'-v'"],
  ];
}

/** Errors of the three filters, each by its own gradient: u' = 4X/D, v' = 9Y/D, D = X + 15Y + 3Z (closed form). */
function byFilters(scale: number): readonly number[] {
  const { X, Y, Z } = xyToXyz(warm, 100);
  const { u, v } = xyToUv1976(warm);
  const D = X + 15 * Y + 3 * Z;
  const gradients = [
    [u * (1 - X / D), (-v * X) / D],
    [(-15 * u * Y) / D, v * (1 - (15 * Y) / D)],
    [(-3 * u * Z) / D, (-3 * v * Z) / D],
  ] as const;
  const sum = (of: (du: number, dv: number) => number) =>
    scale ** 2 * gradients.reduce((total, [du, dv]) => total + of(du, dv), 0);
  const [uu, vv, uv] = [sum((du) => du * du), sum((_, dv) => dv * dv), sum((du, dv) => du * dv)];
  return [Math.sqrt(uu), Math.sqrt(vv), uv / Math.sqrt(uu * vv)];
}

it.each([sdcmSteps, uvDistance])(
  '$id tells how well its colour is known by the three filters',
  (metric) => {
    const [u, v, correlation] = notesOf(metric, [reading(1)]);
    const [own = 0, other = 0, shared = 0] = byFilters(0.01);
    // To the first order in an error of 1 %.
    expect(Number(u) / own).toBeCloseTo(1, 3);
    expect(Number(v) / other).toBeCloseTo(1, 3);
    expect(correlation).toBeCloseTo(shared, 2);
  },
);

it('what a sensor states of x and y joins it, and so does the scatter of the readings', () => {
  const [stated = 0] = notesOf(sdcmSteps, [reading(1, warm.x, { standardXy: 1e-3 })], 0);
  const slope =
    1e3 *
    1e-3 *
    (xyToUv1976({ ...warm, x: warm.x + 5e-4 }).u - xyToUv1976({ ...warm, x: warm.x - 5e-4 }).u);
  expect(Number(stated)).toBeGreaterThan(slope);
  // Readings that differ in x alone: all of the scatter lies along one line, s of the mean is half of the difference.
  const pair = [reading(0.8, warm.x - 1e-3), reading(1.2, warm.x + 1e-3)];
  const [u, , correlation] = notesOf(sdcmSteps, pair, 0);
  const [left, right] = pair.map((one) => xyToUv1976(xyzToXy(one)));
  expect(Number(u) / (((right?.u ?? 0) - (left?.u ?? 0)) / 2)).toBeCloseTo(1, 3);
  expect(correlation).toBeCloseTo(1, 9);
});

it('errors that both windows share hardly open a shift between them', () => {
  const windows = { reference: { from: 0, to: 1 }, window: { from: 1, to: 2 } };
  const [u = 1] = notesOf(uvShift, [reading(0.5), reading(1.5, warm.x + 1e-3)], 0.01, windows);
  expect(Number(u)).toBeLessThan((byFilters(0.01)[0] ?? 0) / 50);
  expect(Number(u)).toBeGreaterThan(0);
});
