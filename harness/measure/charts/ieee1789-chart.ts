import type { Analysis } from '../analysis/analysis.ts';
import type { Chart, Line } from '../evidence.ts';
import { ieee1789End, ieee1789Limit, type Practice } from '../features/flicker/ieee1789-limits.ts';
import { spectrumChart } from './flicker-charts.ts';

/** The spectrum against the practice's limit line, and the figure that is judged as a point. */
export function ieee1789Chart(
  practice: Practice,
  analysis: Analysis,
  judged?: { readonly frequency: number; readonly modulation: number },
): Chart {
  // The limit is straight on either side of its step at 90 Hz, and so two points a side draw it.
  const x = [1, 89.999, 90, ieee1789End(practice)];
  const limit: Line = {
    name: practice === 'low-risk' ? 'low risk' : 'no observable effect',
    role: 'limit',
    x,
    y: x.map((frequency) => ieee1789Limit(practice, frequency)),
  };
  const chart = spectrumChart(analysis, [limit], 'modulation');
  if (!judged) return chart;
  const { frequency, modulation } = judged;
  const whole: Line = {
    name: 'whole waveform at the fundamental',
    role: 'measured',
    x: [frequency],
    y: [modulation],
  };
  return { ...chart, lines: [...chart.lines, whole] };
}
