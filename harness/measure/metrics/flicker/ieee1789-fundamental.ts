import { duration } from '../../analysis/waveform-part.ts';
import { ieee1789Chart } from '../../charts/flicker-charts.ts';
import {
  ieee1789End,
  ieee1789Limit,
  type Practice,
} from '../../features/flicker/ieee1789-limits.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { wholeModulation } from '../../features/flicker/whole-modulation.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/** Light that changes more slowly than this is no flicker to the practice's photosensitive band, Hz (from memory). */
const slowest = 3;
/** Periods that a record must hold for the spectrum to show a line. */
const periods = 5;
/** Modulation this many times the noise is more than noise. */
const clearOfNoise = 6;

/**
 * One practice of IEEE 1789 as it is stated: modulation of the whole waveform / limit at its fundamental, which is the
 * strongest line of the spectrum.
 * Inputs: light (lx) or LED current (A). Output: ratio, at most 1 inside the practice; 0 above its band, and 0 for
 * light without any line above the noise.
 * Not measurable: modulated, but the record holds fewer than five periods of it (and would not at 3 Hz either); dark, clipped, negative or non-finite samples; sampled too slowly to see the band.
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
      const { dominant } = record.analysis;
      const whole = wholeModulation(record);
      if (!isMeasurable(whole)) return whole;
      const found = duration(record.waveform);
      const modulated = whole.high - whole.low > clearOfNoise * record.analysis.noise;
      if (!dominant && modulated && found < periods / slowest) {
        return notMeasurable('too-short', { found, needed: periods / slowest, unit: 's' });
      }
      const limit = dominant ? ieee1789Limit(practice, dominant.frequency) : Infinity;
      const contributions = whole.contributions.map(({ name, standard }) => ({
        name,
        standard: standard / limit,
      }));
      const value = whole.value / limit;
      if (options?.evidence === false) return measured(value, noEvidence, contributions);
      const frequency = dominant?.frequency ?? 0;
      const judged = dominant && { frequency, modulation: whole.value };
      const notes = {
        modulation: whole.value,
        'dominant-frequency': frequency,
        ...(Number.isFinite(limit) && { limit }),
      };
      const charts = [ieee1789Chart(practice, record.analysis, judged)];
      return measured(value, { charts, notes }, contributions);
    },
  };
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
