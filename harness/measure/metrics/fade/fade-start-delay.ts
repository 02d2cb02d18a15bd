import { fadeChart } from '../../charts/fade-charts.ts';
import { fadeEnds, shapeWidth, standardPerShift } from '../../features/fade/fade-ends.ts';
import { observedFade } from '../../features/fade/observed-fade.ts';
import type { Metric } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Time from the commanded start of a fade to the instant where its fitted straight line leaves the first plateau.
 * Where the light leaves it earlier or later than the line, U reaches that instant.
 * Inputs: as for fade-duration. Output: s, negative when the light is early.
 * Not measurable: as for fade-duration.
 * Fooled by: a link whose delay is not calibrated; a creeping start, which the line cuts off; a first step that is too
 * small to see.
 * Source: common practice, no source.
 */
export const fadeStartDelay: Metric = {
  id: 'fade-start-delay',
  title: 'Delay of the start of a fade',
  family: 'fade',
  unit: 's',
  dimension: 'time',
  shown: 'ms',
  needs: fadeNeed,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const fade = observedFade(observation);
    if (!isMeasurable(fade)) return fade;
    const { fit, commanded, waveform } = fade;
    const { startShift } = fadeEnds(fade, shapeWidth(fade));
    const shown = evidence
      ? {
          charts: [fadeChart(fade, observation, `Start of the fade of ${observation.of}`)],
          notes: { 'commanded-start': commanded.from, start: fit.start },
        }
      : noEvidence;
    return measured(fit.start - commanded.from, shown, [
      { name: 'fit residual', standard: fit.standardStart, isNoise: true },
      { name: 'scatter of the plateaus', standard: fit.standardPlateaus, isNoise: true },
      { name: 'shape of the fade', standard: standardPerShift * Math.abs(startShift) },
      // A sample may be the light of an instant or of its whole interval: up to half an interval apart.
      { name: 'instant of a sample', standard: 0.5 / waveform.rate / Math.sqrt(3) },
      { name: 'instant of the command', standard: observation.commanded.standardInstant ?? 0 },
    ]);
  },
};
