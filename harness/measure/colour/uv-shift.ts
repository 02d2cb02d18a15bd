import type { Chart } from '../evidence.ts';
import type { Metric } from '../metric.ts';
import { isRecord } from '../observe.ts';
import { measured, noEvidence, notMeasurable } from '../outcome.ts';
import { uvDistance, xyToUv1976, xyzToXy } from './chromaticity.ts';
import { type MeanColour, meanColour } from './mean-colour.ts';
import { standardUv } from './uv-uncertainty.ts';

/**
 * Chromaticity shift: distance in u'v' between the mean colour of the window and that of the reference window.
 * Inputs: colour readings (XYZ). Output: Δu'v', a number; 0.0011 is one SDCM step.
 * Not measurable: no readings, saturated or under-range ones, dark, no reference.
 * Source: CIE 15 (CIE 1976 uniform chromaticity scale diagram).
 */
export const uvShift: Metric = {
  id: 'uv-shift',
  title: "Chromaticity shift Δu'v'",
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: { signals: ['colour'], scope: 'one', reference: true },
  parameters: [],
  source: 'cie-15',
  blindTo: ['scale', 'time-base', 'quantisation'],
  compute(observation, { evidence = true } = {}) {
    if (!observation.reference) return notMeasurable('no-reference');
    const here = meanColour(observation, observation.window);
    if (!isRecord(here)) return here;
    const there = meanColour(observation, observation.reference);
    if (!isRecord(there)) return { ...there, reason: 'no-reference' };
    const shown = evidence
      ? {
          charts: [pathChart(here, there)],
          notes: { ...notesOf(here, ''), ...notesOf(there, 'reference-') },
        }
      : noEvidence;
    const standard = Math.hypot(
      standardUv(here.xy, here.standardXy),
      standardUv(there.xy, there.standardXy),
    );
    return measured(uvDistance(here.uv, there.uv), shown, [{ name: 'colour sensor', standard }]);
  },
};

function notesOf({ uv, Y }: MeanColour, prefix: string) {
  return { [`${prefix}u'`]: uv.u, [`${prefix}v'`]: uv.v, [`${prefix}Y`]: Y };
}

/** Readings of both windows in the CIE 1976 diagram. */
function pathChart(here: MeanColour, there: MeanColour): Chart {
  const points = ({ readings }: MeanColour) =>
    readings.map((reading) => xyToUv1976(xyzToXy(reading)));
  const measuredPoints = points(here);
  return {
    kind: 'path',
    title: "Colour in the u'v' diagram",
    x: { label: "u'", unit: '1', scale: 'linear' },
    y: { label: "v'", unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: measuredPoints.map(({ u }) => u),
        y: measuredPoints.map(({ v }) => v),
      },
      { name: 'reference', role: 'target', x: [there.uv.u], y: [there.uv.v] },
    ],
    marks: [],
  };
}
