import { currentChart } from '../../charts/current-charts.ts';
import { transitions } from '../../features/current/transitions.ts';
import type { Metric } from '../../metric.ts';
import { currentNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { extremes } from '../../signal/extremes.ts';
import { statistics } from '../../signal/statistics.ts';
import { soundPart } from '../../subject/sound-record.ts';

/** Samples that a pulse must last for a settled half to be there. */
const fewest = 16;

/**
 * Overshoot at turn-on: in the longest pulse of the window, how far the highest current of its first half rises above
 * the highest of its second half (ripple is in both), relative to the mean of the second half.
 * Inputs: LED current (A), a pulse of at least sixteen samples after a turn-on in the window. Output: ratio >= 0.
 * Not measurable: no turn-on, no pulse long enough.
 * Source: IEEE 181 (overshoot; from memory); relative to the settled current is common practice, no source.
 */
export const turnOnOvershoot: Metric = {
  id: 'turn-on-overshoot',
  title: 'Overshoot of the LED current at turn-on',
  family: 'current',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: currentNeed,
  parameters: [],
  source: 'ieee-181',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const waveform = soundPart(observation, currentNeed);
    if (!isMeasurable(waveform)) return waveform;
    const found = transitions(waveform);
    if (!isMeasurable(found)) return found;
    const { samples, rate, start } = waveform;
    let [first, last] = [0, 0];
    found.edges.forEach((edge, index) => {
      if (!edge.rising) return;
      const end = found.edges[index + 1]?.index ?? samples.length;
      if (end - edge.index > last - first) [first, last] = [edge.index, end];
    });
    if (last - first < fewest) {
      if (last === first) return notMeasurable('no-edge', { note: 'no turn-on in the window' });
      const needed = (rate * fewest) / (last - first);
      return notMeasurable('too-slow', { found: rate, needed, unit: 'Hz', note: 'longest pulse' });
    }
    const middle = (first + last) >> 1;
    // The last samples belong to the turn-off.
    const settled = samples.subarray(middle, last - Math.ceil(0.05 * (last - first)));
    const { mean } = statistics(settled);
    const highestSettled = highest(settled, found.noise);
    const beyond = highest(samples.subarray(first, middle), found.noise) - highestSettled;
    const around = { from: start + (first - 0.2 * (last - first)) / rate, to: start + last / rate };
    const shown = evidence
      ? {
          charts: [
            currentChart(waveform, 'Turn-on', around, [
              { name: 'settled peak', level: highestSettled },
            ]),
          ],
          notes: { 'settled-mean': mean, 'settled-peak': highestSettled },
        }
      : noEvidence;
    return measured(Math.max(0, beyond) / mean, shown, [
      {
        name: 'noise of the highest samples',
        standard: (Math.SQRT2 * found.noise) / mean,
        isNoise: true,
      },
    ]);
  },
};

/** Highest sample, less what the noise adds to it. */
function highest(samples: Float32Array | Float64Array, noise: number): number {
  return extremes(samples, statistics(samples), noise).high;
}
