import { currentChart } from '../../charts/current-charts.ts';
import { transitions } from '../../features/current/transitions.ts';
import type { Metric } from '../../metric.ts';
import { currentNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { extremes } from '../../signal/extremes.ts';
import type { Samples } from '../../signal/samples.ts';
import { statistics } from '../../signal/statistics.ts';
import { soundPart } from '../../subject/sound-record.ts';

/** Samples that a pulse must last for a settled half to be there. */
const fewest = 16;

/**
 * Overshoot at turn-on: in the longest pulse of the window, how far the highest current of its first half rises above
 * the highest of its second half (ripple is in both), relative to the mean of the second half.
 * Inputs: LED current (A), a pulse of at least sixteen samples after a turn-on in the window. Output: ratio >= 0.
 * Not measurable: no turn-on, no pulse long enough.
 * Fooled by: ringing of the probe's leads; a probe too slow to follow; pulses too short to settle, as at low level.
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
    let [first, last, turnOn] = [0, 0, start];
    found.edges.forEach((edge, index) => {
      if (!edge.rising) return;
      const end = found.edges[index + 1]?.index ?? samples.length;
      if (end - edge.index > last - first) [first, last, turnOn] = [edge.index, end, edge.at];
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
    const beginning = samples.subarray(first, middle);
    const seen = highest(beginning, found.noise) - highestSettled;
    const behind = statistics(beginning).highestAt + first + 0.5 - (turnOn - start) * rate;
    const tip = beforeTip(beginning, { settled: highestSettled, noise: found.noise, behind });
    const beyond = Math.max(0, seen) * tip.gain;
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
    return measured(beyond / mean, shown, [
      {
        name: 'tip between samples',
        standard: (Math.max(0, seen) * tip.open) / mean / Math.sqrt(3),
      },
      {
        name: 'noise of the highest samples',
        standard: (Math.SQRT2 * found.noise) / mean,
        isNoise: true,
      },
    ]);
  },
};

/** Highest sample, less what the noise adds to it. */
function highest(samples: Samples, noise: number): number {
  return extremes(samples, statistics(samples), noise).high;
}

/** What the tip of an overshoot has over its highest sample, as a factor, and by how much that is open either way. */
interface Tip {
  readonly gain: number;
  readonly open: number;
}

/** An overshoot this many times the noise shows how it dies away. */
const clearOfNoise = 8;
/** A highest sample that lies further behind the edge, in samples, is the tip itself: the edge is resolved. */
const resolved = 2;

/**
 * The overshoot dies away from the edge on, and its highest sample lies up to a sample and a half behind it: so much is given
 * back, and half a sample either way is open. How fast it dies away is told from the highest sample and the next two.
 *
 * @param behind middle of the highest sample from the edge on, in samples
 */
function beforeTip(
  beginning: Samples,
  {
    settled,
    noise,
    behind,
  }: { readonly settled: number; readonly noise: number; readonly behind: number },
): Tip {
  const { highestAt } = statistics(beginning);
  const excess = (k: number): number =>
    (beginning[Math.min(k, beginning.length - 1)] ?? settled) - settled;
  const [here, next, second] = [excess(highestAt), excess(highestAt + 1), excess(highestAt + 2)];
  if (!(here > clearOfNoise * noise) || here <= 0) return { gain: 1, open: 0 };
  const kept = Math.max(0.1, Math.min(1, (next + second) / (here + next)));
  const way = behind > resolved ? 0 : Math.max(0, behind);
  const gain = kept ** -way;
  return { gain, open: kept ** -(way + 0.5) - gain };
}
