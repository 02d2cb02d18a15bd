import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { meanTrack } from '../../analysis/mean-track.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { levelChart } from '../../charts/level-charts.ts';
import { referenceLevel } from '../../features/level/reference-level.ts';
import type { Metric } from '../../metric.ts';
import { relativeLevelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';
import { largestAmongNoise } from '../../signal/largest-among-noise.ts';
import { valueAt } from '../../signal/samples.ts';
import { soundPart } from '../../subject/sound-record.ts';

/** Samples in a shortest flash, averages within the width of one, and averages that a window needs. */
const fewestSamples = 4;
const perWidth = 16;
const fewest = 4;

/**
 * Highest light in the window, averaged over `shortest`, relative to the mean of the reference window: a flash when the supply
 * comes or goes, or light where there ought to be none.
 * Inputs: light (lx) or LED current (A), four samples in `shortest`. Output: ratio, 1 for the light of the reference.
 * Not measurable: no or dark reference, window shorter than four averages, no sound samples.
 * Floor: twice the noise of an average, and what rounding may hide.
 * Source: common practice, no source.
 */
export const highestLevel: Metric = {
  id: 'highest-level',
  title: 'Highest level relative to the reference',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: { ...relativeLevelNeed, rate: 4000 },
  parameters: [
    {
      name: 'shortest',
      kind: 'time',
      default: 1e-3,
      about: 'shortest flash that is asked for: the light is averaged over it',
    },
  ],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const { window, parameters } = observation;
    const shortest = Number(parameters['shortest'] ?? 1e-3);
    const need = {
      ...relativeLevelNeed,
      rate: fewestSamples / shortest,
      duration: fewest * shortest,
    };
    const waveform = soundPart(observation, need);
    if (!isMeasurable(waveform)) return waveform;
    const full = referenceLevel(observation);
    if (!isMeasurable(full)) return full;
    const track = meanTrack(waveform, window, shortest, perWidth);
    const { times, values, width, missed } = track;
    let highest = 0;
    for (let place = 1; place < values.length; place++)
      if (valueAt(values, place) > valueAt(values, highest)) highest = place;
    const noise = quietNoise(waveform) / Math.sqrt(width * waveform.rate) / full.value;
    const { value, standard } = largestAmongNoise(
      valueAt(values, highest) / full.value,
      noise,
      values.length / (perWidth / 2),
    );
    const hidden = hiddenByCodes(waveform) / full.value;
    const at = valueAt(times, highest);
    const shown = evidence
      ? {
          charts: [levelChart(track, waveform.unit, full.value, at)],
          notes: { at, reference: full.value },
        }
      : noEvidence;
    const contributions = [
      { name: 'noise of the averages', standard, isNoise: true },
      { name: 'between two averages', standard: missed * Math.abs(value) },
      {
        name: 'scatter of the reference',
        standard: Math.abs(value) * (full.standard / full.value),
        isNoise: true,
      },
    ];
    return measured(value, shown, contributions, Math.max(value, 2 * noise) + hidden);
  },
};
