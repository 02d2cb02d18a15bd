import { hannTrack } from '../analysis/hann-mean.ts';
import { type Chart, chartPoints, type Line } from '../evidence.ts';
import type { ObservedFade } from '../features/fade/observed-fade.ts';

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
  const x = track.times.map((at) => at);
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
      line('measured', 'measured', track.values.map(lit)),
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
