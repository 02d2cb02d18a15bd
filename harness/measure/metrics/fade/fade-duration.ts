import { fadeChart } from '../../charts/fade-charts.ts';
import { fadeEnds, shapeWidth, standardPerShift } from '../../features/fade/fade-ends.ts';
import { observedFade } from '../../features/fade/observed-fade.ts';
import type { Metric } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Time that a fade takes: a straight line is fitted in the dimming-curve domain and extrapolated to both plateaus. Where
 * the light leaves or arrives at other instants than the line (a kink, a pause, a creeping end), U reaches them.
 * Inputs: LED current (A) or light (lx) with exactly one commanded fade in the window and steady light on both
 * sides. Output: s.
 * Not measurable: no or several fades, no plateau, dark, sampled too slowly (needs 32 samples a fade); light that runs along no
 * straight line (`straightness.ts`): a line through it has no ends that mean anything.
 * Fooled by: a lamp whose curve is not the one in the lamp file; a fade that ends in light too dim for the input; a
 * window that cuts the plateaus short.
 * Source: IEC 62386-102 9.5 (fade time; a fade is linear in level); the fit is our own method.
 */
export const fadeDuration: Metric = {
  id: 'fade-duration',
  title: 'Fade duration',
  family: 'fade',
  unit: 's',
  dimension: 'time',
  shown: 's',
  needs: fadeNeed,
  parameters: [],
  source: 'iec-62386-102',
  blindTo: ['scale'],
  statesNoise: true,
  averages: true,
  compute(observation, { evidence = true } = {}) {
    const fade = observedFade(observation);
    if (!isMeasurable(fade)) return fade;
    const { fit, commanded } = fade;
    const { startShift, endShift } = fadeEnds(fade, shapeWidth(fade));
    const shown = evidence
      ? {
          charts: [fadeChart(fade, observation, `Fade of ${observation.of}`)],
          notes: {
            start: fit.start,
            arrival: fit.end,
            'commanded-duration': commanded.to - commanded.from,
            'start-level': fit.startLevel,
            'end-level': fit.endLevel,
            'first-change': fit.start + startShift,
            'last-change': fit.end + endShift,
          },
        }
      : noEvidence;
    return measured(fit.duration, shown, [
      { name: 'fit residual', standard: fit.standardDuration, isNoise: true },
      { name: 'scatter of the plateaus', standard: fit.standardPlateaus, isNoise: true },
      { name: 'shape of the fade', standard: standardPerShift * Math.abs(endShift - startShift) },
    ]);
  },
};
