import { currentChart } from '../../charts/current-charts.ts';
import { edgeDuration, transitions } from '../../features/current/transitions.ts';
import type { ComputeOptions, Metric } from '../../metric.ts';
import { currentNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence, notMeasurable, type Outcome } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';
import { soundPart } from '../../subject/sound-record.ts';

/**
 * Time that the rising edges of the LED current take between 10 % and 90 % of the step, median over the edges.
 * What averaging over a sample adds to an edge is taken off; of an edge within a sample or two only the uncertainty
 * says how long it may be.
 * Inputs: LED current (A), with edges. Output: s.
 * Not measurable: no two levels, no such edge.
 * Fooled by: a probe or an amplifier slower than the edge, whose own rise time adds in squares; ringing; long leads.
 * The median hides a few slow edges.
 * Source: IEEE 181 (transition duration; from memory).
 */
export const riseTime: Metric = {
  id: 'rise-time',
  title: 'Rise time of the LED current, 10-90 %',
  family: 'current',
  unit: 's',
  dimension: 'time',
  shown: 'ns',
  needs: currentNeed,
  parameters: [],
  source: 'ieee-181',
  blindTo: ['scale', 'offset'],
  compute(observation, options) {
    return edgeOutcome(observation, options, true);
  },
};

/**
 * Time that the falling edges of the LED current take between 10 % and 90 % of the step, median over the edges.
 * What averaging over a sample adds to an edge is taken off; of an edge within a sample or two only the uncertainty
 * says how long it may be.
 * Inputs: LED current (A), with edges. Output: s.
 * Not measurable: no two levels, no such edge.
 * Fooled by: as for rise-time.
 * Source: IEEE 181 (transition duration; from memory).
 */
export const fallTime: Metric = {
  id: 'fall-time',
  title: 'Fall time of the LED current, 10-90 %',
  family: 'current',
  unit: 's',
  dimension: 'time',
  shown: 'ns',
  needs: currentNeed,
  parameters: [],
  source: 'ieee-181',
  blindTo: ['scale', 'offset'],
  compute(observation, options) {
    return edgeOutcome(observation, options, false);
  },
};

/** Edges that are looked at. */
const mostEdges = 2000;
/**
 * Averaging over samples widens an edge: a reading of r samples means about sqrt(r^2 - 1.5) of them (computed for
 * straight flanks at all phases; within 0.1 from 1.2 samples up).
 */
const widening = 1.5;
/** Below this reading, in samples, an edge may have any duration down to nothing: a step reads 0.8 to 1.6. */
const unresolved = 1.7;

/** Median duration 10-90 % of the rising or falling edges. */
function edgeOutcome(
  observation: Observation,
  { evidence = true }: ComputeOptions = {},
  rising: boolean,
): Outcome {
  const waveform = soundPart(observation, currentNeed);
  if (!isMeasurable(waveform)) return waveform;
  const found = transitions(waveform);
  if (!isMeasurable(found)) return found;
  const own = found.edges.filter((edge) => edge.rising === rising).slice(0, mostEdges);
  const times = Float64Array.from(
    own.flatMap((edge) => edgeDuration(waveform, edge, found.levels) ?? []),
  ).sort();
  const [first] = own;
  if (!first || times.length === 0) {
    return notMeasurable('no-edge', { note: rising ? 'no rising edge' : 'no falling edge' });
  }
  const { rate } = waveform;
  const read = valueAt(times, times.length >> 1) * rate;
  const median = Math.sqrt(Math.max(0, read * read - widening)) / rate;
  const between = read < unresolved ? 0.5 : 1 / Math.sqrt(12);
  const slope = (0.8 * (found.levels.high - found.levels.low) * rate) / read;
  const shown = evidence
    ? {
        charts: [edgeChart(waveform, first.at, read / rate, found.levels)],
        notes: {
          edges: times.length,
          shortest: valueAt(times, 0),
          longest: valueAt(times, times.length - 1),
        },
      }
    : noEvidence;
  return measured(median, shown, [
    { name: 'sample interval', standard: between / rate },
    {
      name: 'noise on the edge',
      standard: (Math.SQRT2 * found.noise) / slope / Math.sqrt(times.length),
    },
  ]);
}

function edgeChart(
  waveform: Parameters<typeof currentChart>[0],
  at: number,
  width: number,
  { low, high }: { readonly low: number; readonly high: number },
) {
  const around = { from: at - 5 * width, to: at + 5 * width };
  return currentChart(waveform, 'First edge', around, [
    { name: '10 %', level: low + 0.1 * (high - low) },
    { name: '90 %', level: low + 0.9 * (high - low) },
  ]);
}
