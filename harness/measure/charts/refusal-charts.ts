import type { Chart } from '../evidence.ts';
import { recordedFade } from '../features/fade/recorded-fade.ts';
import type { Metric } from '../metric.ts';
import type { Observation } from '../observation.ts';
import { isMeasurable } from '../outcome.ts';
import { crossfadeChart, fadeChart } from './fade-charts.ts';

/** What the light did against its command, where a metric of fades has no figure to give: the picture says why. */
export function refusalCharts({ needs }: Metric, observation: Observation): readonly Chart[] {
  if (!needs.fade) return [];
  if (needs.scope === 'one') {
    const fade = recordedFade(observation, needs);
    return isMeasurable(fade) ? [fadeChart(fade, observation, `Fade of ${observation.of}`)] : [];
  }
  const fades = observation.commanded.channels.flatMap(({ channel }) => {
    const fade = recordedFade({ ...observation, of: channel }, needs);
    return isMeasurable(fade) ? [{ channel, ...fade }] : [];
  });
  return fades.length > 0 ? [crossfadeChart(fades, observation, 'Fades of all channels')] : [];
}
