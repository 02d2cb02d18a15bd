import { spectrumChart, worstAt } from '../../charts/flicker-charts.ts';
import type { Line } from '../../evidence.ts';
import {
  blindShare,
  type Component,
  componentsOf,
  hiddenOf,
  hidesStructure,
} from '../../features/flicker/components.ts';
import { type LitRecord, litRecord } from '../../features/flicker/lit-record.ts';
import {
  type ThresholdCurve,
  thresholdCurves,
  visibilityThreshold,
} from '../../features/flicker/visibility-threshold.ts';
import { worstComponent } from '../../features/flicker/worst-component.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { oneSided } from '../../one-sided.ts';
import { type Contribution, isMeasurable, measured, noEvidence } from '../../outcome.ts';

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
 * a given waveform. 0 where no component stands above the noise. Floor: what noise, rounding and averaging may hide.
 * Parameter `curve`: `tr63158` or the older `tn006`.
 * Not measurable: record too short or too slow, sensor below 2 kHz; dark, clipped, negative or non-finite samples.
 * Fooled by: a sensor that ends below 2 kHz; hum of the bench at 100 Hz and 120 Hz, where the eye is keen; slower
 * flicker, which it leaves to PstLM.
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
    const { analysis } = record;
    const curve: ThresholdCurve = observation.parameters['curve'] === 'tn006' ? 'tn006' : 'tr63158';
    const components = componentsOf(record);
    const value = measure(components, curve, ({ amplitude }) => amplitude);
    if (options?.evidence === false) return measured(value, noEvidence);
    const inBand = components.filter((c) => c.frequency >= band.from && c.frequency <= band.to);
    const { frequency } = worstComponent(inBand, (at) => visibilityThreshold(curve, at));
    const culprit = worstAt(frequency);
    const charts = [spectrumChart(analysis, [thresholdLine(curve)], undefined, culprit)];
    return measured(
      value,
      { charts, notes: { curve } },
      contributions(components, curve, value),
      floorOf(record, components, curve),
    );
  },
};

/** (Σ (C/T)^3.7)^(1/3.7) with what of each component counts; the band's edges are moved by so many of their deviations. */
function measure(
  components: readonly Component[],
  curve: ThresholdCurve,
  counted: (component: Component) => number,
  widened = edge,
): number {
  let total = 0;
  for (const component of components) {
    const { frequency, deviation } = component;
    const beside = widened * deviation;
    if (frequency < band.from - beside || frequency > band.to + beside) continue;
    total += (counted(component) / visibilityThreshold(curve, frequency)) ** exponent;
  }
  return total ** (1 / exponent);
}

/** A component on the edge of the band belongs to it where the spectrum alone may have put it outside. */
const edge = 2;

/** Half-widths of rectangles, but for what is there or not. */
function contributions(
  components: readonly Component[],
  curve: ThresholdCurve,
  value: number,
): Contribution[] {
  const off = (counted: (component: Component) => number, widened = edge): number =>
    Math.abs(measure(components, curve, counted, widened) - value);
  const half = 1 / Math.sqrt(3);
  return [
    { name: 'averaging and bandwidth', standard: oneSided * off(({ most }) => most) },
    { name: 'components folded down', standard: half * off(({ least }) => least) },
    { name: 'tones not told apart', standard: half * off((c) => c.amplitude * (1 + c.merged)) },
    { name: 'components on the band’s edge', standard: half * off((c) => c.amplitude, -edge) },
  ];
}

/** Bins that one tone takes: a tone of power 1 adds so much over those that it reaches (computed from the window). */
const binsOfTone = 2;

/** With what rounding may hide of each component, and the worst one that the record may hide besides. */
function floorOf(
  record: LitRecord,
  components: readonly Component[],
  curve: ThresholdCurve,
): number {
  let worst = 0;
  let sum = 0;
  hiddenOf(record, band, (frequency, amplitude) => {
    const share = amplitude / visibilityThreshold(curve, frequency);
    worst = Math.max(worst, share);
    sum += share ** exponent / binsOfTone;
  });
  // Between the lines may stand tones in every place, where it is not noise.
  const hidden = hidesStructure(record) ? sum ** (1 / exponent) : worst;
  const blind = blindShare(record);
  const shown = measure(components, curve, ({ amplitude }) => amplitude + blind);
  return Math.hypot(shown ** (exponent / 2), hidden ** (exponent / 2)) ** (2 / exponent);
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
