import type { Analysis } from '../analysis/analysis.ts';
import { type Chart, chartPoints, type Line } from '../evidence.ts';
import { ieee1789End, ieee1789Limit, type Practice } from '../features/flicker/ieee1789-limits.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';
import type { SpectralLine } from '../signal/spectral-lines.ts';
import { tellingStretch } from '../signal/telling-stretch.ts';
import type { Waveform } from '../waveform.ts';

/** Periods of the strongest line that a waveform chart shows. */
const periodsShown = 8;

/** A few periods of the record, the first ones or those around a peak that they do not have; all of it where nothing is periodic. */
export function waveformChart(
  { samples, rate, start, unit }: Waveform,
  { dominant }: Analysis,
): Chart {
  const shown = dominant
    ? Math.max(64, Math.ceil((periodsShown * rate) / dominant.frequency))
    : samples.length;
  const first = tellingStretch(samples, shown);
  const { at, values } = decimateMinMax(samples.subarray(first, first + shown), chartPoints);
  const x = at.map((k) => start + (first + k + 0.5) / rate);
  const part = first > 0 ? 'Periods around the farthest sample' : 'First periods of the record';
  return {
    kind: 'waveform',
    title: dominant && shown < samples.length ? part : 'Record',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'light', unit, scale: 'linear' },
    lines: [{ name: 'light', role: 'measured', x, y: values }],
    marks: [],
  };
}

/** A frequency that a verdict rests on, Hz. */
interface Culprit {
  readonly frequency: number;
  readonly label: string;
}

/** The lines of the spectrum relative to the mean light, with limit lines beside them, and the one that decides marked. */
export function spectrumChart(
  { lines, spectrum }: Analysis,
  limits: readonly Line[] = [],
  label = 'amplitude relative to the mean',
  culprit: Culprit | null = strongestOf(lines),
): Chart {
  const kept = [...lines]
    .sort((a, b) => b.amplitude - a.amplitude)
    .slice(0, chartPoints)
    .sort((a, b) => a.frequency - b.frequency);
  const measured: Line = {
    name: 'light',
    role: 'measured',
    x: kept.map(({ frequency }) => frequency),
    y: kept.map(({ amplitude }) => amplitude / spectrum.mean),
  };
  return {
    kind: 'spectrum',
    title: 'Spectrum',
    x: { label: 'frequency', unit: 'Hz', scale: 'log' },
    y: { label, unit: '1', shown: '%', scale: 'log' },
    lines: [measured, ...limits],
    marks: culprit ? [{ at: culprit.frequency, label: culprit.label }] : [],
  };
}

function strongestOf(lines: readonly SpectralLine[]): Culprit | null {
  const [first, ...more] = lines;
  if (!first) return null;
  const { frequency } = more.reduce(
    (best, line) => (best.amplitude >= line.amplitude ? best : line),
    first,
  );
  return { frequency, label: 'strongest' };
}

/** The component that a verdict rests on, by its frequency in Hz; nothing where none was seen. */
export function worstAt(frequency: number): Culprit | null {
  return frequency > 0 ? { frequency, label: 'worst component' } : null;
}

/** The spectrum against the practice's limit line, and the figure that is judged as a point. */
export function ieee1789Chart(
  practice: Practice,
  analysis: Analysis,
  judged?: { readonly frequency: number; readonly modulation: number },
  worst: Culprit | null = null,
): Chart {
  // The limit is straight on either side of its step at 90 Hz, and so two points a side draw it.
  const x = [1, 89.999, 90, ieee1789End(practice)];
  const limit: Line = {
    name: practice === 'low-risk' ? 'low risk' : 'no observable effect',
    role: 'limit',
    x,
    y: x.map((frequency) => ieee1789Limit(practice, frequency)),
  };
  const culprit = judged ? { frequency: judged.frequency, label: 'fundamental' } : worst;
  const chart = spectrumChart(analysis, [limit], 'modulation', culprit);
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
