import { sweepChart } from '../../charts/level-charts.ts';
import { lightness } from '../../colorimetry/lightness.ts';
import { type SweptLevel, sweepIn } from '../../features/level/sweep.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** How far one level of a sweep is off, and how well that is known, in the metric's unit. */
interface Deviation {
  readonly size: number;
  readonly standard: number;
}

/** Levels that a statement about a curve needs. */
const fewest = 3;

function sweepDeviation(
  facts: Pick<Metric, 'id' | 'title' | 'unit' | 'dimension' | 'shown' | 'source'>,
  deviation: (level: SweptLevel) => Deviation,
): Metric {
  return {
    ...facts,
    family: 'level',
    needs: levelNeed,
    parameters: [],
    blindTo: ['scale', 'time-base'],
    compute(observation, { evidence = true } = {}) {
      const sweep = sweepIn(observation, fewest);
      if (!isMeasurable(sweep)) return sweep;
      const all = sweep.levels.map((level) => ({ level, ...deviation(level) }));
      const worst = all.reduce((one, two) => (two.size > one.size ? two : one));
      // Another level, less well known, may be farther off than the one that seems the worst.
      const reach = Math.max(...all.map(({ size, standard }) => size + 2 * standard));
      const notes = {
        levels: all.length,
        at: worst.level.at,
        commanded: worst.level.commanded,
        measured: worst.level.measured,
      };
      const charts = [sweepChart(sweep.plateaus, 'Sweep')];
      return measured(
        worst.size,
        evidence ? { charts, notes } : noEvidence,
        [{ name: 'scatter of the plateaus', standard: (reach - worst.size) / 2 }],
        2 * Math.max(...all.map(({ standard }) => standard)),
      );
    },
  };
}

/**
 * Largest deviation of a sweep from the dimming curve in log level: exp |ln(measured / commanded)| - 1 of the level that is
 * farthest off, all relative to the brightest of the sweep.
 * Inputs: light (lx) or LED current (A) over at least three steady levels above zero. Output: ratio >= 0; 0.1 is a level that
 * is 10 % too bright, or too dark by the same factor.
 * Not measurable: fewer levels, no sound samples; a commanded level without light (dark), or lost in the noise.
 * Fooled by: the zero of the input and stray light at the dim end; a brightest level that is off itself, since all
 * others are held against it.
 * Source: IEC 62386-102 (the curve is a straight line in log light); deviation as such is common practice, no source.
 */
export const sweepDeviationLog: Metric = sweepDeviation(
  {
    id: 'sweep-deviation',
    title: 'Largest deviation of a sweep from the dimming curve',
    unit: '1',
    dimension: 'ratio',
    shown: '%',
    source: 'iec-62386-102',
  },
  ({ commanded, measured: found, standard }) => {
    const factor = Math.exp(Math.abs(Math.log(found / commanded)));
    return { size: factor - 1, standard: (factor * standard) / found };
  },
);

/**
 * The same in CIE 1976 lightness, full light as white: it weighs a deviation as bright light shows it, so that it says little
 * of the bottom and much of the top.
 * Inputs: as for sweep-deviation. Output: |ΔL*|.
 * Not measurable: as for sweep-deviation.
 * Fooled by: as for sweep-deviation.
 * Source: CIE 15 8.2.1; its use for dimming is a convention, not a CIE recommendation.
 */
export const sweepDeviationLightness: Metric = sweepDeviation(
  {
    id: 'sweep-deviation-lightness',
    title: 'Largest deviation of a sweep from the dimming curve, ΔL*',
    unit: 'L*',
    dimension: 'lightness',
    shown: 'L*',
    source: 'cie-15',
  },
  ({ commanded, measured: found, standard }) => ({
    size: Math.abs(lightness(found) - lightness(commanded)),
    standard: (lightness(found + standard) - lightness(Math.max(0, found - standard))) / 2,
  }),
);
