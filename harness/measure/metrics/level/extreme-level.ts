import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { meanTrack } from '../../analysis/mean-track.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { levelChart } from '../../charts/level-charts.ts';
import { referenceLevel } from '../../features/level/reference-level.ts';
import type { Metric } from '../../metric.ts';
import { relativeLevelNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';
import { largestAmongNoise } from '../../signal/largest-among-noise.ts';
import { valueAt } from '../../signal/samples.ts';
import { soundPart } from '../../subject/sound-record.ts';

/** Samples in a shortest event, averages within the width of one, and averages that a window needs. */
const fewestSamples = 4;
const perWidth = 16;
const fewest = 4;

/**
 * Highest or lowest light in the window, averaged over `shortest`, relative to the mean of the reference window: a flash when the
 * supply comes or goes, light where there ought to be none, or a drop that a mean over the window does not show. Dips and flashes
 * against the course of the light itself are the business of `deepest-dip` and `highest-flash`.
 * Inputs: light (lx) or LED current (A), four samples in `shortest`. Output: ratio, 1 for the light of the reference.
 * Not measurable: no or dark reference, window shorter than four averages, no sound samples.
 * Floor: twice the noise of an average, and what rounding may hide.
 * Fooled by: noise at low level; events shorter than `shortest`; a reference window that had not settled.
 * Source: common practice, no source.
 */
function extremeLevel(id: string, title: string, sign: 1 | -1, event: string): Metric {
  return {
    id,
    title,
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
        about: `shortest ${event} that is asked for: the light is averaged over it`,
      },
    ],
    source: 'common-practice',
    blindTo: ['scale', 'time-base'],
    statesNoise: true,
    compute(observation, { evidence = true } = {}) {
      const found = farthestAverage(observation, sign);
      if (!isMeasurable(found)) return found;
      const { waveform, track, full, place, noise } = found;
      const relative = valueAt(track.values, place) / full.value;
      const independent = track.values.length / (perWidth / 2);
      const freed = largestAmongNoise(sign * relative, noise, independent);
      const value = sign * freed.value;
      const at = valueAt(track.times, place);
      const charts = () => [levelChart(track, waveform.unit, full.value, at)];
      const shown = evidence
        ? { charts: charts(), notes: { at, reference: full.value } }
        : noEvidence;
      const contributions = [
        { name: 'noise of the averages', standard: freed.standard, isNoise: true },
        { name: 'between two averages', standard: track.missed * depth(value, sign) },
        {
          name: 'scatter of the reference',
          standard: Math.abs(value) * (full.standard / full.value),
          isNoise: true,
        },
      ];
      const hidden = hiddenByCodes(waveform) / full.value;
      return measured(value, shown, contributions, Math.max(value, 2 * noise) + hidden);
    },
  };
}

/** The average that lies farthest on one side, and the noise of one, relative to the reference. */
function farthestAverage(observation: Observation, sign: 1 | -1) {
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
  const { values, width } = track;
  let place = 0;
  for (let other = 1; other < values.length; other++)
    if (sign * valueAt(values, other) > sign * valueAt(values, place)) place = other;
  const noise = quietNoise(waveform) / Math.sqrt(width * waveform.rate) / full.value;
  return { waveform, track, full, place, noise };
}

/** How far the light goes from where it was: a flash from the dark, a drop from the reference. */
function depth(value: number, sign: 1 | -1): number {
  return sign > 0 ? Math.abs(value) : Math.abs(1 - value);
}

export const highestLevel = extremeLevel(
  'highest-level',
  'Highest level relative to the reference',
  1,
  'flash',
);
export const lowestLevel = extremeLevel(
  'lowest-level',
  'Lowest level relative to the reference',
  -1,
  'drop',
);
