import {
  colourBlindTo,
  meanColour,
  sensorContributions,
} from '../../features/colour/mean-colour.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import { isMeasurable, measured } from '../../outcome.ts';

/**
 * One coordinate of the mean chromaticity in the window, CIE 1931.
 * Inputs: colour readings (XYZ). Output: a number, 0..1.
 * Not measurable: no readings, saturated or under-range ones, dark.
 * Fooled by: the spectral mismatch of a tristimulus sensor, above all with narrow LEDs; stray light; modulated light
 * that does not fill whole periods of a reading.
 * Source: CIE 15 7.1.
 */
function chromaticity(axis: 'x' | 'y'): Metric {
  return {
    id: `chromaticity-${axis}`,
    title: `Chromaticity ${axis} (CIE 1931)`,
    family: 'colour',
    unit: '1',
    dimension: 'number',
    shown: '1',
    needs: colourNeed,
    parameters: [],
    source: 'cie-15',
    blindTo: colourBlindTo,
    averages: true,
    compute(observation) {
      const colour = meanColour(observation, observation.window);
      if (!isMeasurable(colour)) return colour;
      const { xy, uv, Y, standardXy } = colour;
      const notes = { x: xy.x, y: xy.y, "u'": uv.u, "v'": uv.v, Y };
      return measured(xy[axis], { charts: [], notes }, sensorContributions(colour, standardXy));
    },
  };
}

export const chromaticityX = chromaticity('x');
export const chromaticityY = chromaticity('y');
