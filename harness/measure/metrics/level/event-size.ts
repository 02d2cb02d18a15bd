import { eventChart } from '../../charts/event-charts.ts';
import {
  type Excursions,
  eventParameters,
  excursions,
  farthestPlace,
  type Side,
} from '../../features/events/excursions.ts';
import type { Metric } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';
import { largestAmongNoise } from '../../signal/largest-among-noise.ts';
import { valueAt } from '../../signal/samples.ts';

/** Averages that share their samples for the most part. */
const independent = 4;
/** Smallest part that the noise has to leave visible. */
const smallest = 0.2;
/**
 * How far the light, averaged over `shortest`, goes below its course at the deepest place, or above it at the highest, as a part
 * of the course; in light that stands still or fades.
 * Inputs: light (lx) or LED current (A), four samples in `shortest`. Output: ratio; of a dip at most 1, for dark.
 * Not measurable: as for the number of events; noise that hides a fifth of the light.
 * Floor: twice the noise of an average at the dimmest place, and what rounding may hide there.
 * Fooled by: events shorter than `shortest`, of which it sees the mean; as for the number of events.
 * Source: common practice, no source.
 */
function eventSize(id: string, title: string, side: Side): Metric {
  return {
    id,
    title,
    family: 'level',
    unit: '1',
    dimension: 'ratio',
    shown: '%',
    needs: { ...lightNeed, rate: 4000 },
    parameters: eventParameters,
    source: 'common-practice',
    // Slow noise of the record is in its largest excursion already; noise drawn anew may push a blackout below zero light.
    blindTo: ['scale', 'time-base', 'noise'],
    statesNoise: true,
    compute(observation, { evidence = true } = {}) {
      const found = excursions(observation, side, smallest);
      if (!isMeasurable(found)) return found;
      const place = farthestPlace(found);
      const { noise, parts } = found;
      const freed = largestAmongNoise(valueAt(parts, place), noise, parts.length / independent);
      const value = Math.max(0, freed.value);
      const at = valueAt(found.light.times, place);
      const shown = evidence
        ? { charts: [eventChart(found.light, side, at, title)], notes: { at } }
        : noEvidence;
      const contributions = [
        { name: 'noise of the averages', standard: freed.standard, isNoise: true },
        { name: 'between two averages', standard: found.light.missed * value },
        {
          name: 'course of the fade meanwhile',
          standard: slope(found, side, place, observation.parameters['longest']) / 2,
        },
      ];
      return measured(value, shown, contributions, Math.max(value, 2 * noise) + found.hidden);
    },
  };
}

/** Relative change of the course within a longest event: by as much the median may be off while one lasts. */
function slope({ light }: Excursions, side: Side, place: number, longest: unknown): number {
  const course = side === 'below' ? light.least : light.most;
  const spacing = valueAt(light.times, 1) - valueAt(light.times, 0);
  const reach = Math.round(Number(longest ?? 0.02) / 2 / spacing);
  const before = valueAt(course, Math.max(0, place - reach));
  const after = valueAt(course, Math.min(course.length - 1, place + reach));
  return Math.abs(after - before) / valueAt(course, place);
}

export const deepestDip = eventSize('deepest-dip', 'Deepest dip of the light', 'below');
export const highestFlash = eventSize('highest-flash', 'Highest flash of the light', 'above');
