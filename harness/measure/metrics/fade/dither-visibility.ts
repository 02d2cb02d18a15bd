import { analysisOf } from '../../analysis/analysis.ts';
import { ditherChart } from '../../charts/dither-chart.ts';
import { visibleModulation } from '../../features/fade/visible-modulation.ts';
import type { Metric } from '../../metric.ts';
import { isRecord, windowOf } from '../../observe.ts';
import { measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { lengthOf } from '../../waveform.ts';
import { ditherNeed } from './dither-rate.ts';

/** Above this frequency every modulation is of low risk, Hz. */
const highest = 1250;

/**
 * Visibility of dithering at a steady level: the largest of its regular changes against the modulation of low risk at
 * its frequency; 1 is on that limit, 0 means that there are none.
 * Inputs: light (lx) or LED current (A) at a steady level, at least 1 s, sampled at 2.5 kHz or more. Output: number.
 * Not measurable: too short, too slow, dark.
 * Source: IEEE Std 1789-2015 recommended practice 1 (from memory), applied to each component as an extension.
 */
export const ditherVisibility: Metric = {
  id: 'dither-visibility',
  title: 'Visibility of dithering',
  family: 'fade',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: { ...ditherNeed, rate: 2 * highest },
  parameters: [],
  source: 'ieee-1789-2015',
  blindTo: ['scale'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const waveform = windowOf(observation, { ...ditherNeed, rate: 2 * highest });
    if (!isRecord(waveform)) return waveform;
    const { statistics, lines, floor } = analysisOf(waveform);
    const { mean } = statistics;
    if (!(mean > 0)) return notMeasurable('dark');
    let worst = 0;
    let at = 0;
    for (const { frequency, amplitude } of lines) {
      const ratio = frequency < highest ? amplitude / mean / visibleModulation(frequency) : 0;
      if (ratio > worst) [worst, at] = [ratio, frequency];
    }
    const notes = { frequency: at, mean };
    const shown = evidence ? { charts: [ditherChart(lines, mean)], notes } : noEvidence;
    // What noise adds to a line: its share of one line's width, at the frequency that counted.
    const share = (2 * floor.rms) / Math.sqrt(lengthOf(waveform)) / mean;
    const standard = at > 0 ? share / visibleModulation(at) : 0;
    return measured(worst, shown, [{ name: 'noise at the line', standard }]);
  },
};
