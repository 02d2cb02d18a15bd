import { hannTrack } from '../analysis/hann-track.ts';
import { type Chart, chartPoints, type Line } from '../evidence.ts';
import type { ObservedFade } from '../features/fade/observed-fade.ts';
import { visibleModulation } from '../features/fade/visible-modulation.ts';
import type { SpectralLine } from '../signal/spectral-lines.ts';

/** Half-width of the corridor drawn around the ideal, relative light; a guide for the eye, not a limit. */
const corridor = 0.1;

/** Points of each line: three lines of ideal and corridor and one measured are drawn. */
const points = 400;

/** The fade in the curve domain: averaged light, the fitted straight line with a corridor, both plateaus. */
export function fadeChart(
  { waveform, fit, commanded }: ObservedFade,
  title: string,
  width = fit.duration / 50,
): Chart {
  const margin = 0.3 * fit.duration;
  const from = Math.max(waveform.start, Math.min(fit.start, commanded.from) - margin);
  const to = Math.max(fit.end, commanded.to) + margin;
  const shown = Math.min(points, chartPoints);
  const track = hannTrack(waveform, { from, to }, width, (to - from) / shown);
  const floor = 0.1 * Math.min(fit.startLevel, fit.endLevel);
  const lit = (value: number) => (commanded.logarithmic ? Math.max(value, floor) : value);
  const x = Array.from(track.times);
  const ideal = x.map((at) => lit(fit.levelAt(at)));
  const line = (name: string, role: Line['role'], y: readonly number[]): Line => ({
    name,
    role,
    x,
    y,
  });
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: {
      label: 'level',
      unit: waveform.unit,
      scale: commanded.logarithmic ? 'log' : 'linear',
    },
    lines: [
      line('measured', 'measured', Array.from(track.values, lit)),
      line('straight in the curve domain', 'ideal', ideal),
      line(
        '10 % above',
        'corridor',
        ideal.map((y) => y * (1 + corridor)),
      ),
      line(
        '10 % below',
        'corridor',
        ideal.map((y) => y * (1 - corridor)),
      ),
    ],
    marks: [
      { at: commanded.from, label: 'commanded start' },
      { at: fit.start, label: 'start' },
      { at: fit.end, label: 'arrival' },
    ],
  };
}

/** Middle of an average, s, and how far the logarithm of the light there goes beyond the ideal. */
export interface ChartedStep {
  readonly at: number;
  readonly beyond: number;
}

/** Relative change within the eye's smoothing over time, and what of it is beyond the ideal. */
export function stepChart(steps: readonly ChartedStep[]): Chart {
  const every = Math.ceil(steps.length / chartPoints);
  // Of each group the worst one is shown: a single step must not be thinned away.
  const shown: ChartedStep[] = [];
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

/** Lines of a steady level relative to its mean, with the limit of visibility. */
export function ditherChart(lines: readonly SpectralLine[], mean: number): Chart {
  const kept = lines
    .toSorted((a, b) => b.amplitude - a.amplitude)
    .slice(0, chartPoints)
    .sort((a, b) => a.frequency - b.frequency);
  const frequencies = [1, 3, 8, 20, 50, 89.9, 90, 200, 500, 1250];
  return {
    kind: 'spectrum',
    title: 'Regular changes of the level',
    x: { label: 'frequency', unit: 'Hz', scale: 'log' },
    y: { label: 'amplitude relative to the mean', unit: '1', scale: 'log' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: kept.map(({ frequency }) => frequency),
        y: kept.map(({ amplitude }) => amplitude / mean),
      },
      { name: 'low risk', role: 'limit', x: frequencies, y: frequencies.map(visibleModulation) },
    ],
    marks: [],
  };
}
