import { ieee1789Chart } from '../../charts/flicker-charts.ts';
import {
  ieee1789End,
  ieee1789Limit,
  type Practice,
} from '../../features/flicker/ieee1789-limits.ts';
import { largestHidden } from '../../features/flicker/largest-hidden.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** Slower components are drift, for which the practice is not meant, Hz. */
const lowest = 1;
/** Light that changes more slowly is no flicker to the practice (from memory): what noise hides there is not counted. */
const slowest = 3;

/**
 * One practice of IEEE 1789 held against every Fourier component of the light by itself: the worst ratio of a
 * component's amplitude (relative to the mean) to the limit at its frequency. A common extension, not the clause: the
 * practice speaks of the fundamental with the modulation of the whole waveform.
 * Inputs: light (lx) or LED current (A). Output: ratio; 0 where no component in the band stands above the noise. A
 * component that noise hides may be worse than the worst that is seen: U reaches as far as the record leaves room for one.
 * Not measurable: dark, clipped, negative or non-finite samples; sampled too slowly to see the band.
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
      const { analysis } = record;
      let value = 0;
      let worst = 0;
      for (const { frequency, amplitude } of analysis.lines) {
        if (frequency < lowest) continue;
        const ratio = amplitude / analysis.spectrum.mean / ieee1789Limit(practice, frequency);
        if (ratio > value) {
          value = ratio;
          worst = frequency;
        }
      }
      if (options?.evidence === false) return measured(value, noEvidence);
      const { mean } = analysis.spectrum;
      const hidden = largestHidden(
        analysis,
        { from: slowest, to: ieee1789End(practice) },
        (frequency) => mean * ieee1789Limit(practice, frequency),
      );
      const contributions = [
        // Half of it, as the bound is one of 95 %.
        { name: 'components within the noise', standard: Math.max(0, hidden - value) / 2 },
      ];
      const charts = [ieee1789Chart(practice, analysis)];
      const notes = { 'worst-frequency': worst };
      return measured(value, { charts, notes }, contributions);
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
