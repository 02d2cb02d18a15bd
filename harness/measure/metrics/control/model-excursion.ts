import { modelChart } from '../../charts/model-chart.ts';
import { beyond, openNotes, outsideNotes } from '../../features/model/beyond-model.ts';
import { type HeldLight, heldLight } from '../../features/model/held-light.ts';
import { modelParameters } from '../../features/model/model-parameters.ts';
import type { Metric } from '../../metric.ts';
import { modelledLightNeed } from '../../needs.ts';
import type { DimmingCurve } from '../../observation.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';

/**
 * Farthest that the light, averaged over `smoothing`, lies outside of what a model of the lamp allows with all that was sent to it, where it
 * is outside beyond what the bench leaves open (as for time-outside-model). On a logarithmic dimming curve relative to the bound that it passed, or to the bottom of the curve
 * where the bound lies below; on a linear one relative to full light.
 * Inputs: as for time-outside-model. Output: ratio, 0 where the light never lies outside; 0.5 where it was half of the least, or one
 * and a half of the most, that was allowed.
 * Fooled by: as time-outside-model; of an event shorter than `smoothing` it sees the mean.
 * Not measurable: as there. Floor: what noise, zero and single pulses of the modulator leave open at the place where that is most.
 * Source: common practice, no source; the model's own are in harness/model.
 */
export const modelExcursion: Metric = {
  id: 'model-excursion',
  title: 'Farthest from the lamp model',
  family: 'control',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: modelledLightNeed,
  parameters: modelParameters,
  source: 'model-lamp',
  // White noise is in the bounds; what nobody has stated of hum and drift is told from the record.
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const held = heldLight(observation);
    if (!isMeasurable(held)) return held;
    const { curve } = observation.commanded;
    let [farthest, place, floor] = [0, -1, 0];
    for (let k = 0; k < held.times.length; k++) {
      const scale = scaleAt(held, curve, k);
      const doubt = valueAt(held.doubt, k);
      floor = Math.max(floor, doubt / scale);
      const outside = beyond(held, k);
      // Of light that is certainly outside all of the way counts.
      const here = outside > 0 ? (outside + doubt) / scale : 0;
      if (here > farthest) [farthest, place] = [here, k];
    }
    const worst = place < 0 ? null : place;
    const open = worst === null ? 0 : valueAt(held.doubt, worst) / scaleAt(held, curve, worst);
    const shown = evidence
      ? {
          charts: [modelChart(held, observation, worst, 'Light beside the lamp model')],
          notes: {
            ...(worst !== null && outsideNotes(held, observation, worst)),
            ...openNotes(held),
          },
        }
      : noEvidence;
    // U holds all of it.
    const doubt = { name: 'noise, zero and pulses', standard: open / 2 };
    return measured(farthest, shown, open > 0 ? [doubt] : [], floor);
  },
};

/** What a distance is held against: on a logarithmic curve the bound that was passed, without what the bench leaves open. */
function scaleAt(
  { light, least, most, doubt }: HeldLight,
  { kind, bottom }: DimmingCurve,
  place: number,
): number {
  if (kind === 'linear') return 1;
  const isAbove = valueAt(light, place) > valueAt(most, place);
  const own = valueAt(doubt, place);
  return Math.max(bottom, isAbove ? valueAt(most, place) - own : valueAt(least, place) + own);
}
