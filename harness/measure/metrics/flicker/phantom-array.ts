import { spectrumChart, worstAt } from '../../charts/flicker-charts.ts';
import type { Line } from '../../evidence.ts';
import { componentsOf } from '../../features/flicker/components.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { saccade, streakThreshold } from '../../features/flicker/streak-sensitivity.ts';
import {
  shareContributions,
  shareFloor,
  worstComponent,
} from '../../features/flicker/worst-component.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/** Hz: slower light strobes (SVM), faster light has been seen by nobody (about 11 kHz, from memory). */
const band = { from: 1000, to: 15_000 };
const needs: Need = { ...lightNeed, rate: 4 * band.to, duration: 0.1, bandwidth: band.to };

/**
 * Phantom array, informative: the worst ratio of a Fourier component's modulation from 1 kHz to 15 kHz to that at which its
 * streak, drawn by an eye that moves at `saccade`, has the contrast of a resting grating that is just seen. An eye in a
 * saccade sees less than one at rest, and a source wider than a line blurs its streak: below 1 nobody sees a phantom array, above 1
 * somebody may. It is no measure of how many do: the published measures of that are not recalled with certainty.
 * Inputs: light (lx) or LED current (A), at least 0.1 s at 60 kS/s. Output: pure number, proportional to the modulation.
 * Floor: what noise, rounding and averaging may hide in the band.
 * Not measurable: record too short or too slow, sensor below 15 kHz; dark, clipped, negative or non-finite samples.
 * Fooled by: a sensor or an anti-alias filter that ends below 15 kHz; a source that is wide; eyes that move faster than
 * `saccade`.
 * Source: Barten 2004 (contrast sensitivity, from memory); its use on streaks: own decision.
 */
export const phantomArray: Metric = {
  id: 'phantom-array',
  title: 'Phantom array, share of the visible streak (informative)',
  family: 'flicker',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs,
  parameters: [
    {
      name: 'saccade',
      kind: 'number',
      default: saccade,
      about: 'speed of the eye in degrees a second: 500 is that of a large saccade (from memory)',
    },
  ],
  source: 'barten-2004',
  blindTo: ['scale'],
  compute(observation, options) {
    const speed = Number(observation.parameters['saccade'] ?? saccade);
    if (!(speed > 0)) return notMeasurable('out-of-domain', { note: 'the eye has to move' });
    const record = litRecord(observation, needs);
    if (!isMeasurable(record)) return record;
    const limit = (frequency: number) => streakThreshold(frequency, speed);
    const components = componentsOf(record).filter(
      ({ frequency }) => frequency >= band.from && frequency <= band.to,
    );
    const { share, frequency } = worstComponent(components, limit);
    if (options?.evidence === false) return measured(share, noEvidence);
    const charts = [
      spectrumChart(record.analysis, [limitLine(limit)], undefined, worstAt(frequency)),
    ];
    const notes = { 'worst-frequency': frequency, 'saccade-degrees-per-second': speed };
    const contributions = shareContributions(components, limit);
    return measured(share, { charts, notes }, contributions, shareFloor(record, band, limit));
  },
};

function limitLine(limit: (frequency: number) => number): Line {
  const x = Array.from({ length: 61 }, (_, k) => band.from * (band.to / band.from) ** (k / 60));
  return { name: 'streak just seen', role: 'limit', x, y: x.map(limit) };
}
