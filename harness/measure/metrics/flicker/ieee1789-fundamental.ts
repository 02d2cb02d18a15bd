import { isOfDarkWiring, mayBePickup } from '../../analysis/lamp-lines.ts';
import { ieee1789Chart } from '../../charts/flicker-charts.ts';
import {
  type Component,
  componentsOf,
  foldedAmplitude,
  hiddenOf,
  meanOf,
} from '../../features/flicker/components.ts';
import {
  ieee1789End,
  ieee1789Limit,
  type Practice,
} from '../../features/flicker/ieee1789-limits.ts';
import { type LitRecord, litRecord } from '../../features/flicker/lit-record.ts';
import { commonPeriod, periodSetters, setsPeriod } from '../../features/flicker/period.ts';
import { wholeModulation } from '../../features/flicker/whole-modulation.ts';
import type { Limit } from '../../features/flicker/worst-component.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { type Contribution, isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** Of what is slower only components that the record shows count: the rest is drift, for which the practice is not meant, Hz. */
const lowest = 1;

/**
 * One practice of IEEE 1789 as it is stated: modulation of the whole waveform / limit at its fundamental.
 * The fundamental is that of the period of the waveform: the common one of all components that belong to its course (a tenth
 * of the strongest amplitude, or half of their own limit: own rule), of the slowest where there is none. Weaker components that
 * a strict reader would count (a hundredth, or a tenth of their limit) are within U.
 * Inputs: light (lx) or LED current (A). Output: ratio, at most 1 inside the practice; 0 above its band, and 0 for
 * light without any component above the noise.
 * A line that the dark wiring explains, or that may be pickup, sets no period beside others; it is within U, too.
 * Floor: what the record would not show of a component that sets the period, with the modulation that it would bring.
 * Not measurable: pulses whose height the record cannot show; dark, clipped, negative or non-finite samples; sampled too
 * slowly to see the band.
 * Fooled by: a slow component of small size, which moves the period and with it the limit; hum of the bench; a sensor
 * too slow for the pulses.
 * Source: IEEE Std 1789-2015 clause 8 (limits from memory).
 */
function fundamental(practice: Practice, id: string, title: string): Metric {
  const needs: Need = {
    ...lightNeed,
    rate: 4 * ieee1789End(practice),
  };
  return {
    id,
    title,
    family: 'flicker',
    unit: '1',
    dimension: 'number',
    shown: '1',
    needs,
    parameters: [],
    source: 'ieee-1789-2015',
    blindTo: ['scale'],
    compute(observation, options) {
      const record = litRecord(observation, needs);
      if (!isMeasurable(record)) return record;
      const whole = wholeModulation(record);
      if (!isMeasurable(whole)) return whole;
      const limit = (frequency: number) => ieee1789Limit(practice, frequency);
      const components = componentsOf(record);
      const found = settersOf(record, components, limit);
      const period = commonPeriod(found.sure);
      const share = (at: number | undefined) => (at === undefined ? 0 : whole.value / limit(at));
      const value = share(period?.frequency);
      if (options?.evidence === false) return measured(value, noEvidence);
      const contributions = [
        ...whole.contributions.map(({ name, standard }) => ({
          name,
          standard: period ? standard / limit(period.frequency) : 0,
        })),
        ...periodContributions(found, value, share),
      ];
      const band = { from: lowest, to: ieee1789End(practice) };
      const strongest = Math.max(0, ...components.map(({ amplitude }) => amplitude));
      const hidden = periodFloor(record, band, { modulation: whole.value, strongest }, limit);
      const floor = Math.max(hidden, period ? whole.floor / limit(period.frequency) : 0);
      const frequency = period?.frequency ?? 0;
      const judged = period && { frequency, modulation: whole.value };
      const at = limit(frequency);
      const notes = {
        modulation: whole.value,
        fundamental: frequency,
        ...(period && Number.isFinite(at) && { limit: at }),
      };
      const charts = [ieee1789Chart(practice, record.analysis, judged)];
      return measured(value, { charts, notes }, contributions, floor);
    },
  };
}

/**
 * Lines that may be the bench's set no period of the light's where there are others; a strict reader counts them still, as the
 * lamp may have as much.
 */
function settersOf(
  record: LitRecord,
  components: readonly Component[],
  limit: Limit,
): ReturnType<typeof periodSetters> {
  const { waveform, analysis } = record;
  const mean = meanOf(analysis);
  const own = components.filter(({ frequency, amplitude }) => {
    const line = { frequency, amplitude: amplitude * mean };
    return !isOfDarkWiring(line, waveform) && !mayBePickup(line, waveform);
  });
  const folded = foldedAmplitude(record);
  const { sure } = periodSetters(own.length > 0 ? own : components, limit, folded);
  return { sure, strict: periodSetters(components, limit, folded).strict };
}

type Share = (frequency: number | undefined) => number;

/** Half-widths of rectangles: other periods that the components may be read to have. */
function periodContributions(
  { sure, strict }: ReturnType<typeof periodSetters>,
  value: number,
  share: Share,
): Contribution[] {
  const period = commonPeriod(sure);
  const { frequency = 0, deviation = 0 } = period ?? {};
  const sides = [-2, 2].map((sign) => share(period && frequency + sign * deviation));
  const strictest = share(commonPeriod(strict)?.frequency);
  const off = Math.max(...sides.map((side) => Math.abs(side - value)));
  return [
    { name: 'frequency against the limit', standard: off / Math.sqrt(3) },
    { name: 'faint slower components', standard: Math.max(0, strictest - value) / Math.sqrt(3) },
  ];
}

/** The share with the largest component that the record may hide, where that one would set the period. */
function periodFloor(
  record: LitRecord,
  band: { readonly from: number; readonly to: number },
  shown: { readonly modulation: number; readonly strongest: number },
  limit: Limit,
): number {
  let floor = 0;
  hiddenOf(record, band, (frequency, amplitude) => {
    const own = limit(frequency);
    if (setsPeriod(amplitude, shown.strongest, own))
      floor = Math.max(floor, Math.min(1, shown.modulation + amplitude) / own);
  });
  return floor;
}

/** IEEE 1789 low-risk practice. */
export const ieee1789LowRisk = fundamental(
  'low-risk',
  'ieee1789-low-risk',
  'Share of the IEEE 1789 low-risk limit used',
);

/** IEEE 1789 no-observable-effect practice. */
export const ieee1789NoEffect = fundamental(
  'no-effect',
  'ieee1789-no-effect',
  'Share of the IEEE 1789 no-observable-effect limit used',
);
