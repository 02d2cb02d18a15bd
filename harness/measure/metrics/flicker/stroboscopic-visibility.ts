import type { Analysis } from '../../analysis/analysis.ts';
import { spectrumChart } from '../../charts/flicker-charts.ts';
import type { Line } from '../../evidence.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import {
  type ThresholdCurve,
  thresholdCurves,
  visibilityThreshold,
} from '../../features/flicker/visibility-threshold.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** The sum ends hard at 2 kHz; 1 s and 10 kS/s are usual (all from memory). Slower flicker belongs to PstLM. */
const band = { from: 80, to: 2000 };
const needs: Need = {
  ...lightNeed,
  rate: 10_000,
  duration: 1,
  bandwidth: 2000,
};
const exponent = 3.7;

/**
 * Stroboscopic visibility measure: (Σ (C_m / T(f_m))^3.7)^(1/3.7) over the Fourier components from 80 Hz to 2 kHz, C_m
 * the amplitude relative to the mean, T the visibility threshold. 1 is what an average person detects half of the time.
 * Amplitudes are those of the spectrum's lines whole, wherever between the bins they lie.
 * Inputs: light (lx) or LED current (A), at least 1 s at 10 kS/s. Output: pure number, proportional to the modulation of
 * a given waveform. 0 where no component stands above the noise; what might hide there is a contribution.
 * Parameter `curve`: `tr63158` or the older `tn006`.
 * Not measurable: record too short or too slow, sensor below 2 kHz; dark, clipped, negative or non-finite samples.
 * Source: IEC TR 63158:2018 with COR 1 (formula confirmed); 2 kHz cut from memory.
 */
export const stroboscopicVisibility: Metric = {
  id: 'svm',
  title: 'Stroboscopic visibility measure, SVM',
  family: 'flicker',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs,
  parameters: [
    {
      name: 'curve',
      kind: thresholdCurves,
      default: 'tr63158',
      about: 'visibility threshold: tr63158 (IEC TR 63158:2018) or tn006 (CIE TN 006:2016, older)',
    },
  ],
  source: 'iec-tr-63158',
  blindTo: ['scale'],
  compute(observation, options) {
    const record = litRecord(observation, needs);
    if (!isMeasurable(record)) return record;
    const { analysis, waveform } = record;
    const curve: ThresholdCurve = observation.parameters['curve'] === 'tn006' ? 'tn006' : 'tr63158';
    const point = sum(analysis, curve, () => 1);
    // A sample that is the mean over its interval has lost sinc(f / rate) of each component; one that is a point has not.
    const mean = sum(analysis, curve, (f) => 1 / sinc(f / waveform.rate));
    const value = point ** (1 / exponent);
    const hidden = (point + hiddenTerm(analysis, curve)) ** (1 / exponent) - value;
    const contributions = [
      { name: 'width of a sample', standard: (mean ** (1 / exponent) - value) / Math.sqrt(3) },
      { name: 'components within the noise', standard: hidden / Math.sqrt(3) },
    ];
    if (options?.evidence === false) return measured(value, noEvidence, contributions);
    const charts = [spectrumChart(analysis, [thresholdLine(curve)])];
    return measured(value, { charts, notes: { curve } }, contributions);
  },
};

/** Σ (C/T)^3.7, each amplitude times `gain`. */
function sum(
  { lines, spectrum }: Analysis,
  curve: ThresholdCurve,
  gain: (frequency: number) => number,
): number {
  // A line on the edge of the band belongs to it when the spectrum alone put it outside.
  const edge = 0.1 * spectrum.step;
  let total = 0;
  for (const { frequency, amplitude } of lines) {
    if (frequency < band.from - edge || frequency > band.to + edge) continue;
    const relative = (amplitude / spectrum.mean) * gain(frequency);
    total += (relative / visibilityThreshold(curve, frequency)) ** exponent;
  }
  return total;
}

/** The term of a component at the band's lower end that noise could just have hidden. */
function hiddenTerm({ floor, spectrum }: Analysis, curve: ThresholdCurve): number {
  const bin = Math.round(band.from / spectrum.step);
  const block = floor.ends.findIndex((end) => bin < end);
  // Ten times the floor's power, spread over the lobe of a line, is about what is still found.
  const amplitude = Math.sqrt(10 * (floor.levels[Math.max(0, block)] ?? 0)) / spectrum.mean;
  return (amplitude / visibilityThreshold(curve, band.from)) ** exponent;
}

function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
}

function thresholdLine(curve: ThresholdCurve): Line {
  const x: number[] = [];
  for (let f = band.from; f <= band.to * 1.0001; f *= (band.to / band.from) ** (1 / 60)) x.push(f);
  return {
    name: 'SVM 1 for a sine',
    role: 'limit',
    x,
    y: x.map((frequency) => visibilityThreshold(curve, frequency)),
  };
}
