import { duration } from '../../analysis/waveform-part.ts';
import type { Chart } from '../../evidence.ts';
import { type Component, componentsOf } from '../../features/flicker/components.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { shareFloor } from '../../features/flicker/worst-component.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { oneSided } from '../../one-sided.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** At least 20 kS/s and 2 s (from memory). */
const needs: Need = { ...lightNeed, rate: 20_000, duration: 2 };

/** The cut-offs at which JA10 states the modulation, Hz (from memory). */
const cutOffs = [40, 90, 200, 400, 1000] as const;
/** The limit holds for what is slower, Hz (JA8, wording confirmed). */
const limited = 200;
/** Slower components are drift, Hz. */
const lowest = 1;

/**
 * The five figures of California's JA10 in one: modulation below each cut-off (40, 90, 200, 400 and 1000 Hz), and the worst of
 * those up to 200 Hz as a share of the limit of JA8.
 * The modulation below a cut-off is the sum of the Fourier components up to it: the most that any phases between them can
 * give, exact for one component. U reaches down to the strongest of them alone. What lies above a cut-off does not leak in.
 * Inputs: light (lx) or LED current (A), at least 2 s at 20 kS/s. Output: ratio of the limit; the five modulations stand
 * among the notes.
 * Floor: what noise, rounding and resolution may hide from 1 Hz to 200 Hz.
 * Not measurable: record too short or too slow; dark, clipped, negative or non-finite samples.
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
    const components = componentsOf(record).filter(({ frequency }) => frequency >= lowest);
    // Every component adds to the sum, so that the highest cut-off with a limit is the worst.
    const share = sumBelow(components, limited) / limit;
    if (options?.evidence === false) return measured(share, noEvidence);
    const below = cutOffs.map((cutOff) => sumBelow(components, cutOff));
    const notes = Object.fromEntries(
      cutOffs.map((cutOff, k) => [`modulation-below-${cutOff}-hz`, below[k] ?? 0] as const),
    );
    return measured(
      share,
      { charts: [cutOffChart(below, limit)], notes },
      contributionsOf(components, limit, 1 / duration(record.waveform)),
      shareFloor(record, { from: lowest, to: limited }, () => limit),
    );
  },
};

/** @param resolution of the record's Fourier transform, Hz: a tone so near the cut-off may belong to either side */
function contributionsOf(components: readonly Component[], limit: number, resolution: number) {
  const inside = components.filter((component) => isBelow(component, limited));
  const near = ({ frequency, deviation }: Component): boolean =>
    Math.abs(frequency - limited) <= Math.max(2 * deviation, resolution);
  const open = components.filter(near).reduce((total, { amplitude }) => total + amplitude, 0);
  const sum = inside.reduce((total, { amplitude }) => total + amplitude, 0);
  const most = inside.reduce((total, component) => total + component.most, 0);
  const strongest = Math.max(0, ...inside.map(({ amplitude }) => amplitude));
  // Half-widths of rectangles.
  return [
    { name: 'phases of the components', standard: (sum - strongest) / limit / Math.sqrt(3) },
    { name: 'averaging and bandwidth', standard: (oneSided * (most - sum)) / limit },
    { name: 'tones on the cut-off', standard: open / limit / Math.sqrt(3) },
  ];
}

/** One component at a cut-off by less than its frequency is known counts below it. */
function isBelow({ frequency, deviation }: Component, cutOff: number): boolean {
  return frequency - 2 * deviation <= cutOff;
}

function sumBelow(components: readonly Component[], cutOff: number): number {
  return components.reduce(
    (sum, component) => sum + (isBelow(component, cutOff) ? component.amplitude : 0),
    0,
  );
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
