import type { Chart } from '../../evidence.ts';
import { bandContributions, bandFloor } from '../../features/flicker/band-limited-doubt.ts';
import {
  type BandLimited,
  bandLimited,
  bandModulation,
} from '../../features/flicker/band-limited-light.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** At least 20 kS/s and 2 s (from memory). */
const needs: Need = { ...lightNeed, rate: 20_000, duration: 2 };

/** The cut-offs at which JA10 states the modulation, Hz (from memory). */
const cutOffs = [40, 90, 200, 400, 1000] as const;
/** The limit holds for what is slower, Hz (JA8, wording confirmed). */
const limited = 200;
const judged = cutOffs.filter((cutOff) => cutOff <= limited);

/**
 * The five figures of California's JA10 in one: modulation below each cut-off (40, 90, 200, 400 and 1000 Hz), and the worst of
 * those up to 200 Hz as a share of the limit of JA8. Each is what `band-limited-modulation` says at that cut-off.
 * Inputs: light (lx) or LED current (A), at least 2 s at 20 kS/s. Output: ratio of the limit; the five modulations stand
 * among the notes.
 * Floor: what noise, rounding and resolution may hide from 1 Hz to 200 Hz.
 * Not measurable: record too short or too slow; dark, clipped, negative or non-finite samples.
 * Fooled by: as for band-limited-modulation.
 * Source: California Title 24, JA8 (30 % below 200 Hz: confirmed) and JA10 (cut-offs from memory).
 */
export const ja10Modulation: Metric = {
  id: 'ja10-modulation',
  title: 'Share of the JA10 limit used below the worst cut-off',
  family: 'flicker',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs,
  parameters: [
    {
      name: 'limit',
      kind: 'ratio',
      default: 0.3,
      about: 'modulation that is allowed below 200 Hz (JA8: 30 %)',
    },
  ],
  source: 'ja10',
  blindTo: ['scale'],
  compute(observation, options) {
    const record = litRecord(observation, needs);
    if (!isMeasurable(record)) return record;
    const limit = Number(observation.parameters['limit'] ?? 0.3);
    if (options?.evidence === false) {
      const each = judged.map((cutOff) => bandModulation(record, cutOff));
      return measured(Math.max(...each) / limit, noEvidence);
    }
    const all = judged.map((cutOff) => ({ cutOff, light: bandLimited(record, cutOff) }));
    const worst = all.reduce((one, two) => (modulationOf(two) > modulationOf(one) ? two : one));
    const share = modulationOf(worst) / limit;
    const below = cutOffs.map(
      (cutOff) =>
        (all.find((each) => each.cutOff === cutOff)?.light ?? bandLimited(record, cutOff))
          .modulation,
    );
    const notes = Object.fromEntries(
      cutOffs.map((cutOff, k) => [`modulation-below-${cutOff}-hz`, below[k] ?? 0] as const),
    );
    const contributions = bandContributions(worst.light, record, worst.cutOff).map((own) => ({
      ...own,
      standard: own.standard / limit,
    }));
    const charts = [cutOffChart(below, limit)];
    return measured(share, { charts, notes }, contributions, bandFloor(record, limited) / limit);
  },
};

function modulationOf({ light }: { readonly light: BandLimited }): number {
  return light.modulation;
}

function cutOffChart(below: readonly number[], limit: number): Chart {
  return {
    kind: 'curve',
    title: 'Modulation below each cut-off',
    x: { label: 'cut-off', unit: 'Hz', scale: 'log' },
    y: { label: 'modulation', unit: '1', scale: 'linear' },
    lines: [
      { name: 'light', role: 'measured', x: [...cutOffs], y: below },
      { name: 'limit', role: 'limit', x: [cutOffs[0], limited], y: [limit, limit] },
    ],
    marks: [],
  };
}
