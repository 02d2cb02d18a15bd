import { type Chart, chartPoints } from '../evidence.ts';
import type { Step } from '../metrics/fade/largest-visible-step.ts';

/** Relative change within the eye's smoothing over time, and what of it is beyond the ideal. */
export function stepChart(steps: readonly Step[]): Chart {
  const every = Math.ceil(steps.length / chartPoints);
  // Of each group the worst one is shown: a single step must not be thinned away.
  const shown: Step[] = [];
  for (let first = 0; first < steps.length; first += every) {
    const group = steps.slice(first, first + every);
    shown.push(group.reduce((one, two) => (two.beyond > one.beyond ? two : one)));
  }
  const x = shown.map(({ at }) => at);
  return {
    kind: 'waveform',
    title: "Change of light within the eye's smoothing",
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'relative change', unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'beyond the ideal',
        role: 'measured',
        x,
        y: shown.map(({ beyond }) => Math.expm1(beyond)),
      },
      { name: 'ideal', role: 'ideal', x: [x[0] ?? 0, x.at(-1) ?? 0], y: [0, 0] },
    ],
    marks: [],
  };
}
