import type { Chart } from '../../evidence.ts';
import { type MeanCct, meanCct } from '../../features/colour/mean-cct.ts';
import { colourBlindTo, sensorContributions } from '../../features/colour/mean-colour.ts';
import { settlingPart, steadyStretches } from '../../features/level/plateaus.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { commandedLevel } from '../../subject/commanded-light.ts';

/** What is followed over the levels: a coordinate of the colour and its standard uncertainty, in the metric's unit. */
type Followed = (colour: MeanCct) => { readonly value: number; readonly standard: number };

interface Step {
  readonly at: number;
  readonly level: number;
  readonly colour: MeanCct;
}

function tracking(
  facts: Pick<Metric, 'id' | 'title' | 'unit' | 'dimension' | 'shown'>,
  followed: Followed,
): Metric {
  return {
    ...facts,
    family: 'colour',
    needs: colourNeed,
    parameters: [],
    source: 'ohno-2014',
    blindTo: colourBlindTo,
    compute(observation, { evidence = true } = {}) {
      const steps = stepsIn(observation);
      if (!isMeasurable(steps)) return steps;
      const [first, ...others] = steps;
      if (!first || others.length === 0) {
        const facts = { found: steps.length, needed: 2, unit: '1', note: 'steady levels' } as const;
        return notMeasurable('out-of-domain', facts);
      }
      const full = others.reduce((one, two) => (two.level > one.level ? two : one), first);
      const base = followed(full.colour);
      const off = ({ colour }: Step) => Math.abs(followed(colour).value - base.value);
      const worst = steps.reduce((one, two) => (off(two) > off(one) ? two : one));
      // Another level, less well known, may be farther off than the one that seems the worst.
      const reach = Math.max(...steps.map((step) => off(step) + 2 * scatterOf(step, followed)));
      const contributions = [
        ...sensorContributions(worst.colour.colour, followed(worst.colour).standard),
        ...sensorContributions(full.colour.colour, base.standard),
        { name: 'scatter of the other levels', standard: (reach - off(worst)) / 2 },
      ];
      const notes = { at: worst.at, level: worst.level, there: followed(worst.colour).value };
      const shown = evidence ? { charts: [chart(facts, steps, followed)], notes } : noEvidence;
      const hidden = Math.max(...steps.map((step) => scatterOf(step, followed)));
      return measured(off(worst), shown, contributions, 2 * hidden);
    },
  };
}

/** The lit steady levels of the window, each with the mean colour of its settled part. */
function stepsIn(observation: Observation): readonly Step[] | NotMeasurable {
  const steps: Step[] = [];
  for (const { from, to } of steadyStretches(observation)) {
    const level = commandedLevel(observation, (from + to) / 2);
    if (level <= 0) continue;
    const colour = meanCct(observation, { from: from + settlingPart * (to - from), to });
    if (!isMeasurable(colour)) return colour;
    steps.push({ at: from, level, colour });
  }
  return steps;
}

/** The readings' own scatter, in the metric's unit: the sensor's error is the same at all levels. */
function scatterOf({ colour }: Step, followed: Followed): number {
  const { standardXy, scatterXy } = colour.colour;
  return standardXy > 0 ? (followed(colour).standard * scatterXy) / standardXy : 0;
}

function chart(
  { title, unit }: Pick<Metric, 'title' | 'unit'>,
  steps: readonly Step[],
  followed: Followed,
): Chart {
  const sorted = steps.toSorted((a, b) => a.level - b.level);
  return {
    kind: 'curve',
    title,
    x: { label: 'commanded level', unit: '1', scale: 'log' },
    y: { label: 'measured', unit, scale: 'linear' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: sorted.map(({ level }) => level),
        y: sorted.map(({ colour }) => followed(colour).value),
      },
    ],
    marks: [],
  };
}

/**
 * CCT over dimming: the largest difference of the correlated colour temperature at any steady level of the window from that
 * at the brightest one.
 * Inputs: colour readings (XYZ) at two steady levels or more. Output: K, 0 or more.
 * Not measurable: fewer levels; a level without readings, saturated, under range or dark; off the Planckian locus.
 * Fooled by: stray light and the zero of the sensor, which weigh more the lower the level; levels that have not
 * settled.
 * Source: Ohno 2014 (LEUKOS 10(1)); the difference is common practice, no source.
 */
export const cctTracking: Metric = tracking(
  {
    id: 'cct-tracking',
    title: 'Largest change of CCT over dimming',
    unit: 'K',
    dimension: 'colour-temperature',
    shown: 'K',
  },
  ({ cct, standardCct }) => ({ value: cct, standard: standardCct }),
);

/**
 * Duv over dimming: the same for the distance from the Planckian locus (CIE 1960).
 * Inputs: as for cct-tracking. Output: number, 0 or more.
 * Not measurable: as for cct-tracking.
 * Fooled by: as for cct-tracking.
 * Source: Ohno 2014 (LEUKOS 10(1)); ANSI C78.377; the difference is common practice, no source.
 */
export const duvTracking: Metric = tracking(
  {
    id: 'duv-tracking',
    title: 'Largest change of Duv over dimming',
    unit: '1',
    dimension: 'number',
    shown: '1',
  },
  ({ duv, standardDuv }) => ({ value: duv, standard: standardDuv }),
);
