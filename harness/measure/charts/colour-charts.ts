import { type Uv1976, xyToUv1976, xyzToXy } from '../colorimetry/chromaticity.ts';
import { type Chart, chartPoints } from '../evidence.ts';
import type { ColourReading } from '../observation.ts';

/** Readings and their target or ideal path in the CIE 1976 diagram. */
export function pathChart(readings: readonly ColourReading[], ideal: readonly Uv1976[]): Chart {
  const points = thinned(readings.map((reading) => xyToUv1976(xyzToXy(reading))));
  const aim = thinned(ideal);
  return {
    kind: 'path',
    title: "Colour in the u'v' diagram",
    x: { label: "u'", unit: '1', scale: 'linear' },
    y: { label: "v'", unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: points.map(({ u }) => u),
        y: points.map(({ v }) => v),
      },
      {
        name: ideal.length > 1 ? 'ideal path' : 'target',
        role: ideal.length > 1 ? 'ideal' : 'target',
        x: aim.map(({ u }) => u),
        y: aim.map(({ v }) => v),
      },
    ],
    marks: [],
  };
}

function thinned<T>(points: readonly T[]): readonly T[] {
  const every = Math.ceil(points.length / chartPoints);
  return points.filter((_, index) => index % every === 0);
}
