import { currentChart } from '../../charts/current-charts.ts';
import { type Transitions, transitions } from '../../features/current/transitions.ts';
import type { Metric } from '../../metric.ts';
import { currentNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { sampleAt } from '../../signal/samples.ts';
import { soundPart } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';

/** Samples that a pulse must last for its width to be told. */
const resolved = 2;

/**
 * Shortest pulse of the LED current in the window, between the crossings of the middle of its two levels; pulses cut
 * by the ends of the window do not count.
 * Inputs: LED current (A), at least two samples in the shortest pulse. Output: s.
 * Not measurable: no two levels, no whole pulse, pulses shorter than two samples, peaks that do not reach the level.
 * Fooled by: ripple or ringing that passes the middle of the two levels; a probe too slow for the pulse; one glitch in
 * a long window.
 * Source: IEEE 181 (pulse duration between 50 % instants; from memory).
 */
export const shortestPulse: Metric = {
  id: 'shortest-pulse',
  title: 'Shortest pulse of the LED current',
  family: 'current',
  unit: 's',
  dimension: 'time',
  shown: 'µs',
  needs: currentNeed,
  parameters: [],
  source: 'ieee-181',
  blindTo: ['scale', 'offset'],
  compute(observation, { evidence = true } = {}) {
    const waveform = soundPart(observation, currentNeed);
    if (!isMeasurable(waveform)) return waveform;
    const found = transitions(waveform);
    if (!isMeasurable(found)) return found;
    if (hasStumps(waveform, found)) {
      return notMeasurable('too-slow', {
        found: waveform.rate,
        needed: 4 * waveform.rate,
        unit: 'Hz',
        note: 'some pulses are shorter than a sample',
      });
    }
    let shortest = Number.POSITIVE_INFINITY;
    let at = waveform.start;
    let pulses = 0;
    found.edges.forEach((edge, index) => {
      const next = found.edges[index + 1];
      if (!edge.rising || !next) return;
      pulses++;
      if (next.at - edge.at < shortest) [shortest, at] = [next.at - edge.at, edge.at];
    });
    if (pulses === 0) return notMeasurable('no-edge', { note: 'no whole pulse in the window' });
    const { rate } = waveform;
    if (shortest * rate < resolved) {
      const needed = resolved / shortest;
      return notMeasurable('too-slow', { found: rate, needed, unit: 'Hz', note: 'shortest pulse' });
    }
    const around = { from: at - 4 * shortest, to: at + 5 * shortest };
    const levels = [{ name: 'middle', level: found.levels.middle }];
    const shown = evidence
      ? {
          charts: [currentChart(waveform, 'Shortest pulse', around, levels)],
          notes: { at, pulses },
        }
      : noEvidence;
    return measured(shortest, shown, [
      { name: 'sample interval', standard: 1 / (rate * Math.sqrt(6)) },
    ]);
  },
};

/** Peaks that stay well below the high level, yet above the noise: pulses that were averaged away. */
function hasStumps({ samples }: Waveform, { levels, noise }: Transitions): boolean {
  const { low, high } = levels;
  const floor = low + Math.max(0.1 * (high - low), 8 * noise);
  const ceiling = low + 0.7 * (high - low);
  for (let index = 1; index < samples.length - 1; index++) {
    const value = sampleAt(samples, index);
    if (value <= floor || value >= ceiling) continue;
    const [before, after] = [sampleAt(samples, index - 1), sampleAt(samples, index + 1)];
    if (before < floor && after < floor) return true;
  }
  return false;
}
