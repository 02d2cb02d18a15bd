import { deltaUv, type Uv1976, xyToUv1976, xyzToXy } from '../colorimetry/chromaticity.ts';
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

/** Distance in u'v' of a course of colours from their mean, over time. */
export function excursionChart(
  points: readonly { readonly at: number; readonly uv: Uv1976 }[],
  mean: Uv1976,
): Chart {
  const shown = thinned(points);
  return {
    kind: 'waveform',
    title: 'Colour over time',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: "Δu'v' from the mean", unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: shown.map(({ at }) => at),
        y: shown.map(({ uv }) => deltaUv(uv, mean)),
      },
    ],
    marks: [],
  };
}
