import { pathChart } from '../../charts/colour-charts.ts';
import { deltaUv, type Uv1976, xyToUv1976, xyzToXy } from '../../colorimetry/chromaticity.ts';
import { standardUv } from '../../colorimetry/uv-uncertainty.ts';
import { commandedMeanColour } from '../../features/colour/commanded-colour.ts';
import { colourBlindTo } from '../../features/colour/mean-colour.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import type { ColourReading, Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { endsOf, neighbours } from '../../signal/pairs.ts';
import { readingsIn } from '../../subject/colour-readings.ts';

/**
 * Largest distance in u'v' of the colours during a crossfade from the path that they should take, whenever they are
 * where. `path: commanded` (default) is the path of the commanded channel levels through the nominal chromaticities,
 * shifted so that its ends are the measured first and last colour; `path: straight` is the straight line between
 * these two.
 * Inputs: at least five colour readings (XYZ) in the window. Output: Δu'v', a number.
 * Not measurable: fewer readings, saturated or under-range ones, dark, ends of one colour on a straight path.
 * Fooled by: readings that are few, between which the colour may go anywhere; a long integration time, which cuts
 * corners; colours that are on the path at the wrong instant.
 * Source: CIE 15 for u'v'; the deviation is common practice, no source.
 */
export const pathDeviation: Metric = {
  id: 'path-deviation',
  title: "Deviation Δu'v' from the path of a crossfade",
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: colourNeed,
  parameters: [
    {
      name: 'path',
      kind: ['commanded', 'straight'],
      default: 'commanded',
      about: 'path of the commanded levels, or the straight line between first and last colour',
    },
  ],
  source: 'cie-15',
  blindTo: colourBlindTo,
  compute(observation, { evidence = true } = {}) {
    const readings = readingsIn(observation, observation.window);
    if (!isMeasurable(readings)) return readings;
    const ends = endsOf(readings);
    if (!ends || readings.length < fewest) {
      const facts = { found: readings.length, needed: fewest, unit: '1', note: 'colour readings' };
      return notMeasurable('too-short', facts);
    }
    const straight = [uvOf(ends[0]), uvOf(ends[1])] as const;
    const ideal =
      observation.parameters['path'] === 'straight'
        ? straight
        : anchored(commandedPath(observation, ends, 8 * readings.length), straight);
    if (!ideal.every(({ u, v }) => Number.isFinite(u + v))) {
      return notMeasurable('out-of-domain', {
        note: 'no light is commanded in part of the window',
      });
    }
    let worst = 0;
    let { at } = ends[0];
    for (const reading of readings) {
      const distance = distanceToPath(uvOf(reading), ideal);
      if (distance > worst) [worst, at] = [distance, reading.at];
    }
    const standard = Math.max(
      ...readings.map((reading) => standardUv(xyzToXy(reading), reading.standardXy ?? 0)),
    );
    const shown = evidence ? { charts: [pathChart(readings, ideal)], notes: { at } } : noEvidence;
    return measured(worst, shown, [{ name: 'colour sensor', standard }]);
  },
};

/** Fewer colours than this show no path. */
const fewest = 5;

function uvOf(reading: ColourReading): Uv1976 {
  return xyToUv1976(xyzToXy(reading));
}

/** Commanded colours between the first and the last reading, `wanted` or as many as are enough, averaged as the sensor does. */
function commandedPath(
  observation: Observation,
  [first, last]: readonly [ColourReading, ColourReading],
  wanted: number,
): readonly Uv1976[] {
  const count = Math.min(1000, wanted);
  const half = first.integration / 2;
  return Array.from({ length: count + 1 }, (_, index) => {
    const at = first.at + (index / count) * (last.at - first.at);
    const colour = commandedMeanColour(observation, { from: at - half, to: at + half });
    return xyToUv1976(xyzToXy(colour));
  });
}

/** The path moved, sliding from one end to the other, so that its ends are the measured ones. */
function anchored(
  path: readonly Uv1976[],
  [start, end]: readonly [Uv1976, Uv1976],
): readonly Uv1976[] {
  const ends = endsOf(path);
  if (!ends) return path;
  const [first, last] = ends;
  const length = path.reduce(
    (sum, point, index) => sum + deltaUv(point, path[index - 1] ?? point),
    0,
  );
  let gone = 0;
  return path.map((point, index) => {
    gone += deltaUv(point, path[index - 1] ?? point);
    const part = length > 0 ? gone / length : 0;
    return {
      u: point.u + (1 - part) * (start.u - first.u) + part * (end.u - last.u),
      v: point.v + (1 - part) * (start.v - first.v) + part * (end.v - last.v),
    };
  });
}

function distanceToPath(point: Uv1976, path: readonly Uv1976[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const [from, to] of neighbours(path)) {
    least = Math.min(least, distanceToLine(point, from, to));
  }
  return least;
}

function distanceToLine(point: Uv1976, from: Uv1976, to: Uv1976): number {
  const [du, dv] = [to.u - from.u, to.v - from.v];
  const square = du * du + dv * dv;
  const along = square > 0 ? ((point.u - from.u) * du + (point.v - from.v) * dv) / square : 0;
  const part = Math.min(1, Math.max(0, along));
  return deltaUv(point, { u: from.u + part * du, v: from.v + part * dv });
}
