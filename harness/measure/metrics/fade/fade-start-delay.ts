import { fadeChart } from '../../charts/fade-charts.ts';
import { observedFade } from '../../features/fade/observed-fade.ts';
import type { Metric } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Time from the commanded start of a fade to the instant where its fitted straight line leaves the first plateau.
 * Inputs: as for fade-duration. Output: s, negative when the light is early.
 * Not measurable: as for fade-duration.
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
    const { fit, commanded } = fade;
    const shown = evidence
      ? {
          charts: [fadeChart(fade, `Start of the fade of ${observation.of}`)],
          notes: { 'commanded-start': commanded.from, start: fit.start },
        }
      : noEvidence;
    return measured(fit.start - commanded.from, shown, [
      { name: 'fit residual', standard: fit.standardStart, isNoise: true },
      { name: 'scatter of the plateaus', standard: fit.standardPlateaus, isNoise: true },
      { name: 'instant of the command', standard: observation.commanded.standardInstant ?? 0 },
    ]);
  },
};
