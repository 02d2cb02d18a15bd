import { hannTrack } from '../analysis/hann-track.ts';
import type { Axis, Chart } from '../evidence.ts';
import {
  type CommandedCourse,
  commandedCourse,
  fullLight,
} from '../features/level/commanded-course.ts';
import type { Observation, Window } from '../observation.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';
import { valueAt } from '../signal/samples.ts';
import type { Waveform } from '../waveform.ts';

/** Points of a measured line: lowest and highest of each stretch. */
const points = 600;
/** Averages before that: the finest that a picture could show. */
const averages = 4000;

export function levelAxis(isLogarithmic: boolean): Axis {
  const scale = isLogarithmic ? 'log' : 'linear';
  return { label: 'level of full light', unit: '1', shown: '%', scale };
}

/**
 * The averaged light over a stretch relative to full light, and what full light is in the record's unit. Peaks stay: of each stretch of
 * averages the lowest and the highest are kept.
 */
export function lightOver(
  waveform: Waveform,
  observation: Observation,
  shown: Window,
  width: number,
): { readonly light: CommandedCourse; readonly full: number } {
  const step = Math.max(width / 4, (shown.to - shown.from) / averages);
  const track = hannTrack(waveform, shown, width, step);
  const full = fullLight(track, observation);
  const { at, values } = decimateMinMax(track.values, points);
  const x = at.map((k) => valueAt(track.times, k));
  // A logarithmic axis has no place for the noise of the dark: a tenth of the lowest level is dark enough.
  const floor = observation.commanded.curve.kind === 'logarithmic' ? darkest(observation) : -1;
  return { light: { x, y: values.map((value) => Math.max(value / full, floor)) }, full };
}

function darkest({ commanded: { curve } }: Observation): number {
  return curve.bottom / 10;
}

/** The commanded course of a window and the averaged light over it. */
export function courseChart(
  waveform: Waveform,
  observation: Observation,
  title: string,
  width: number,
): Chart {
  const { window, of, commanded } = observation;
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: levelAxis(commanded.curve.kind === 'logarithmic'),
    lines: [
      { name: 'commanded', role: 'commanded', ...commandedCourse(observation, window) },
      { name: of, role: 'measured', ...lightOver(waveform, observation, window, width).light },
    ],
    marks: [],
  };
}
