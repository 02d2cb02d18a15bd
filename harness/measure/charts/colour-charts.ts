import { deltaUv, type Uv1976, xyToUv1976, xyzToXy } from '../colorimetry/chromaticity.ts';
import { planckianUv } from '../colorimetry/planckian-locus.ts';
import { type Chart, chartPoints, type Line } from '../evidence.ts';
import type { ColourReading } from '../observation.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';
import { outermostPoints } from '../signal/outermost.ts';

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
        name: ideal.length > 1 ? 'commanded path' : 'target',
        role: ideal.length > 1 ? 'commanded' : 'target',
        x: aim.map(({ u }) => u),
        y: aim.map(({ v }) => v),
      },
      ...locusNear([...points, ...aim]),
    ],
    marks: [],
  };
}

/** Black bodies of the picture's part of the Planckian locus, K. */
const temperatures = Array.from({ length: 121 }, (_, k) => 1500 * (20_000 / 1500) ** (k / 120));
/** What is drawn of the locus around the points, in u'v'. */
const around = 0.006;

/** CIE 1976 v' is one and a half times the v of 1960. */
function locus(): readonly Uv1976[] {
  return temperatures.map((temperature) => {
    const { u, v } = planckianUv(temperature);
    return { u, v: 1.5 * v };
  });
}

/** The Planckian locus where it passes the points of a picture: no longer than they are apart, or it would make them small. */
function locusNear(points: readonly Uv1976[]): readonly Line[] {
  const within = (key: 'u' | 'v') => {
    const values = points.map((point) => point[key]);
    return { from: Math.min(...values) - around, to: Math.max(...values) + around };
  };
  const [us, vs] = [within('u'), within('v')];
  const near = locus().filter(
    ({ u, v }) => u >= us.from && u <= us.to && v >= vs.from && v <= vs.to,
  );
  if (near.length < 2) return [];
  const [x, y] = [near.map(({ u }) => u), near.map(({ v }) => v)];
  return [{ name: 'Planckian locus', role: 'ideal', x, y }];
}

function thinned(points: readonly Uv1976[]): readonly Uv1976[] {
  const [u, v] = [
    Float64Array.from(points, (one) => one.u),
    Float64Array.from(points, (one) => one.v),
  ];
  return outermostPoints(u, v, chartPoints).flatMap((k) => points[k] ?? []);
}

/** Distance in u'v' of a course of colours from their mean, over time. */
export function excursionChart(
  points: readonly { readonly at: number; readonly uv: Uv1976 }[],
  mean: Uv1976,
): Chart {
  const outline = decimateMinMax(
    Float64Array.from(points, ({ uv }) => deltaUv(uv, mean)),
    chartPoints,
  );
  return {
    kind: 'waveform',
    title: 'Colour over time',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: "Δu'v' from the mean", unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: outline.at.flatMap((k) => points[k]?.at ?? []),
        y: outline.values,
      },
    ],
    marks: [],
  };
}
