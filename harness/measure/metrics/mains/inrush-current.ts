import { quietNoise } from '../../analysis/noise.ts';
import { currentChart } from '../../charts/current-charts.ts';
import type { Metric, Need } from '../../metric.ts';
import { oneSided } from '../../one-sided.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { largestAmongNoise } from '../../signal/largest-among-noise.ts';
import { sampleAt } from '../../signal/samples.ts';
import { soundPart } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';

const need: Need = {
  signals: ['supply-current', 'mains-current'],
  scope: 'one',
  rate: 20_000,
  bandwidth: 10_000,
};

/** Samples that a peak with its surroundings needs. */
const fewest = 8;

/**
 * Inrush current: the largest current, either way, that the lamp draws in the window, which begins before the supply comes. The
 * duration above half of the peak and the integral of the square are notes.
 * Inputs: supply current or mains current (A). Output: A.
 * Not measurable: no sound samples (a record that is cut off by its range among them), a rate or a sensor too slow.
 * Floor: what the peak may have been before the highest sample, which is a mean, by the fall to the next sample.
 * Fooled by: a supply or a cable that limits the current; capacitors that are still charged or hot NTCs from the
 * switching before; the phase of the mains at which the relay happens to close.
 * Source: IEC 63129 (peak inrush current, duration at half of it; from memory). It asks for a discharged lamp and, on the mains, for
 * switching at the peak of the voltage: both are the stimulus' to bring about.
 */
export const inrushCurrent: Metric = {
  id: 'inrush-current',
  title: 'Inrush current',
  family: 'mains',
  unit: 'A',
  dimension: 'current',
  shown: 'A',
  needs: need,
  parameters: [],
  source: 'iec-63129',
  blindTo: ['time-base'],
  compute(observation, { evidence = true } = {}) {
    const waveform = soundPart(observation, need);
    if (!isMeasurable(waveform)) return waveform;
    const { samples, rate } = waveform;
    if (samples.length < fewest) {
      const facts = { found: samples.length / rate, needed: fewest / rate };
      return notMeasurable('too-short', { ...facts, unit: 's' });
    }
    const peak = peakPlace(waveform);
    const highest = Math.abs(sampleAt(samples, peak));
    const noise = quietNoise(waveform);
    const { value, standard } = largestAmongNoise(highest, noise, samples.length);
    const next = Math.abs(sampleAt(samples, Math.min(peak + 1, samples.length - 1)));
    const shown = evidence ? evidenceOf(waveform, peak) : noEvidence;
    const most = value * atPeak((next + 2 * Math.SQRT2 * noise) / highest);
    return measured(
      value,
      shown,
      [
        { name: 'noise of the highest sample', standard, isNoise: true },
        {
          name: 'before the highest sample',
          standard: (oneSided / 2) * (most - value) + noiseOfFall * noise,
        },
      ],
      most,
    );
  },
};

/** What noise of the next sample does to the bound: half of what was added to that sample, times the bound's slope (1.5 and less, computed). */
const noiseOfFall = 1.5;

/**
 * Peak over the highest sample where each sample is `fall` of the one before: the sample is the mean of an exponential that began
 * up to a whole sample earlier (closed form).
 */
function atPeak(fall: number): number {
  return fall > 0 && fall < 1 ? -Math.log(fall) / (fall * (1 - fall)) : 1;
}

function peakPlace({ samples }: Waveform): number {
  let peak = 0;
  for (let place = 1; place < samples.length; place++)
    if (Math.abs(sampleAt(samples, place)) > Math.abs(sampleAt(samples, peak))) peak = place;
  return peak;
}

function evidenceOf(waveform: Waveform, peak: number) {
  const { samples, rate, start } = waveform;
  const level = sampleAt(samples, peak);
  const half = (place: number) => Math.abs(sampleAt(samples, place)) >= Math.abs(level) / 2;
  let [first, last, square] = [peak, peak, 0];
  while (first > 0 && half(first - 1)) first--;
  while (last < samples.length - 1 && half(last + 1)) last++;
  for (let place = 0; place < samples.length; place++) square += sampleAt(samples, place) ** 2;
  const at = start + (peak + 0.5) / rate;
  const around = { from: at - 0.01, to: at + 0.05 };
  return {
    charts: [currentChart(waveform, 'Inrush', around, [{ name: 'peak', level }])],
    notes: {
      at,
      'duration-above-half': (last - first + 1) / rate,
      'integral-of-the-square': square / rate,
    },
  };
}
