import { eventChart } from '../../charts/event-charts.ts';
import {
  blackoutDepth,
  type EventKind,
  flashHeight,
  thresholdOf,
} from '../../features/events/event-kind.ts';
import {
  beyond,
  type Excursion,
  eventParameters,
  excursions,
} from '../../features/events/excursions.ts';
import type { Metric } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** An event that goes this far beyond the threshold, relative to it, has steep flanks there. */
const deep = 1.6;

/**
 * Longest blackout, or longest flash: the longest stretch in which the light, averaged over `shortest`, is beyond the
 * threshold from its course. Right where an abrupt event lasts `shortest` or longer (closed form: a symmetric window passes
 * half of a step in its middle).
 * Inputs: as for the number of events. Output: s, 0 for none. Not measurable: as there.
 * Floor: `shortest`, as a shorter event is not seen, or not at its length.
 * Fooled by: as for the number of events; slanting flanks, whose length depends on the threshold.
 * Source: common practice, no source.
 */
function eventLength(id: string, title: string, kind: EventKind): Metric {
  return {
    id,
    title,
    family: 'level',
    unit: 's',
    dimension: 'time',
    shown: 'ms',
    needs: { ...lightNeed, rate: 4000 },
    parameters: [...eventParameters, kind.parameter],
    source: 'common-practice',
    // Noise drawn anew may push a blackout below zero light, which no record may be.
    blindTo: ['scale', 'noise'],
    statesNoise: true,
    compute(observation, { evidence = true } = {}) {
      const threshold = thresholdOf(observation, kind);
      const found = excursions(observation, kind.side, threshold);
      if (!isMeasurable(found)) return found;
      const { width } = found.light;
      const events = beyond(found, threshold);
      const longest = events.reduce<Excursion | null>(
        (one, two) => (one && lengthOf(one) >= lengthOf(two) ? one : two),
        null,
      );
      if (!longest) return measured(0, noEvidence, [], width);
      // The flanks of an event that hardly reaches the threshold are as slow as the average.
      const flank = longest.farthest > deep * threshold ? width / 16 : width / 4;
      const shown = evidence
        ? {
            charts: [eventChart(found.light, kind.side, longest.from, title)],
            notes: { at: longest.from, farthest: longest.farthest, events: events.length },
          }
        : noEvidence;
      // No average lies nearer to the record's end than half its width: the event ends somewhere in there.
      const beyondEnds = (longest.openEnds * width) / 4;
      const contributions = [
        { name: 'flanks of the average', standard: flank },
        { name: 'ends of the record', standard: beyondEnds / Math.sqrt(3) },
      ];
      const length = steepLength(longest, threshold, width) + beyondEnds;
      return measured(Math.max(0, length), shown, contributions, width);
    },
  };
}

/**
 * Length of an event with steep flanks, at least as long as an average: where its edge has come so far into an average as the
 * threshold is part of its height, the average passes the threshold (closed form). Early at each edge of a high one; where the
 * event ends with the record it has no edge there.
 */
function steepLength(event: Excursion, threshold: number, width: number): number {
  const edges = 2 - event.openEnds;
  return lengthOf(event) - (edges / 2) * width * (1 - (2 * threshold) / event.farthest);
}

function lengthOf({ from, to }: Excursion): number {
  return to - from;
}

export const longestBlackout = eventLength('longest-blackout', 'Longest blackout', blackoutDepth);
export const longestFlash = eventLength('longest-flash', 'Longest flash', flashHeight);
