import { ieee1789Chart, worstAt } from '../../charts/flicker-charts.ts';
import { componentsOf } from '../../features/flicker/components.ts';
import {
  ieee1789End,
  ieee1789Limit,
  type Practice,
} from '../../features/flicker/ieee1789-limits.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import {
  shareContributions,
  shareFloor,
  worstComponent,
} from '../../features/flicker/worst-component.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** Of what is slower only components that the record shows count: the rest is drift, for which the practice is not meant, Hz. */
const lowest = 1;

/**
 * One practice of IEEE 1789 held against every Fourier component of the light by itself: the worst ratio of a
 * component's amplitude (relative to the mean) to the limit at its frequency. A common extension, not the clause: the
 * practice speaks of the fundamental with the modulation of the whole waveform.
 * Inputs: light (lx) or LED current (A). Output: ratio; 0 where no component in the band stands above the noise.
 * Floor: what noise, rounding, resolution (fits below the lowest line) and averaging may hide, from 1 Hz to the band's end.
 * At 90 Hz, where the limit jumps, U reaches the other side while the frequency is not told apart from it.
 * Not measurable: dark, clipped, negative or non-finite samples; sampled too slowly to see the band.
 * Fooled by: hum and pickup of the bench; a sensor too slow for the band; a waveform whose many components are each
 * within their limit: read the practice as it is stated beside it.
 * Source: IEEE Std 1789-2015 clause 8 (limits from memory); extension: common practice, no source.
 */
function components(practice: Practice, id: string, title: string): Metric {
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
      const end = ieee1789End(practice);
      const limit = (frequency: number) => ieee1789Limit(practice, frequency);
      const components = componentsOf(record);
      const { share, frequency } = worstComponent(components, limit);
      if (options?.evidence === false) return measured(share, noEvidence);
      const contributions = shareContributions(components, limit);
      const floor = shareFloor(record, { from: lowest, to: end }, limit);
      const charts = [ieee1789Chart(practice, record.analysis, undefined, worstAt(frequency))];
      const notes = { 'worst-frequency': frequency };
      return measured(share, { charts, notes }, contributions, floor);
    },
  };
}

/** IEEE 1789 low-risk practice, per Fourier component (an extension of the clause). */
export const ieee1789LowRiskComponents = components(
  'low-risk',
  'ieee1789-low-risk-components',
  'Share of the IEEE 1789 low-risk limit used by the worst component',
);

/** IEEE 1789 no-observable-effect practice, per Fourier component (an extension of the clause). */
export const ieee1789NoEffectComponents = components(
  'no-effect',
  'ieee1789-no-effect-components',
  'Share of the IEEE 1789 no-observable-effect limit used by the worst component',
);
