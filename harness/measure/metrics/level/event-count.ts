import { eventChart } from '../../charts/event-charts.ts';
import {
  blackoutDepth,
  type EventKind,
  flashHeight,
  thresholdOf,
} from '../../features/events/event-kind.ts';
import { beyond, eventParameters, excursions } from '../../features/events/excursions.ts';
import type { Metric } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** Relative size by which the course, a median, may be off. */
const blur = 0.02;

/**
 * Number of blackouts, or of flashes, in light that stands still or fades: stretches in which the light, averaged over
 * `shortest`, goes beyond the threshold from its course. Regular pauses of a modulator that are as long count as well.
 * Inputs: light (lx) or LED current (A), four samples in `shortest`. Output: number, 0 for none.
 * Not measurable: too slow, too short, light too dim for its noise, mixed light that rises and falls at once.
 * Floor: the number that were there if the threshold were nearer by what noise and averaging may hide.
 * Fooled by: a modulator with pauses as long as `shortest`; a fade so steep that it looks like an event; a supply that
 * drops out itself.
 * Source: common practice, no source.
 */
function eventCount(id: string, title: string, kind: EventKind): Metric {
  return {
    id,
    title,
    family: 'level',
    unit: '1',
    dimension: 'number',
    shown: '1',
    needs: { ...lightNeed, rate: 4000 },
    parameters: [...eventParameters, kind.parameter],
    source: 'common-practice',
    blindTo: ['scale', 'time-base'],
    statesNoise: true,
    compute(observation, { evidence = true } = {}) {
      const threshold = thresholdOf(observation, kind);
      const found = excursions(observation, kind.side, threshold);
      if (!isMeasurable(found)) return found;
      const events = beyond(found, threshold);
      const nearer = beyond(
        found,
        threshold - 2 * found.noise - found.hidden - found.light.missed - blur,
      ).length;
      const [first] = events;
      const shown =
        evidence && first
          ? {
              charts: [eventChart(found.light, kind.side, first.from, title)],
              notes: { first: first.from, farthest: first.farthest },
            }
          : noEvidence;
      return measured(events.length, shown, [], Math.max(nearer, events.length));
    },
  };
}

export const blackouts = eventCount('blackouts', 'Blackouts', blackoutDepth);
export const flashes = eventCount('flashes', 'Flashes', flashHeight);
