import { type HannTrack, hannTrack } from '../analysis/hann-track.ts';
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
/** Averages that tell what full light is: it is a median, which more of them would not move. */
const averages = 4000;

export function levelAxis(isLogarithmic: boolean): Axis {
  const scale = isLogarithmic ? 'log' : 'linear';
  return { label: 'level of full light', unit: '1', shown: '%', scale };
}

/**
 * The averaged light over a stretch relative to full light, and what full light is in the record's unit. Peaks stay: averages overlap
 * however long the stretch is, and of each group of them the lowest and the highest are kept.
 */
export function lightOver(
  waveform: Waveform,
  observation: Observation,
  shown: Window,
  width: number,
): { readonly light: CommandedCourse; readonly full: number } {
  const track = hannTrack(waveform, shown, width, width / 4);
  const full = fullLight(some(track), observation);
  const { at, values } = decimateMinMax(track.values, points);
  const x = at.map((k) => valueAt(track.times, k));
  // A logarithmic axis has no place for the noise of the dark: a tenth of the lowest level is dark enough.
  const floor = observation.commanded.curve.kind === 'logarithmic' ? darkest(observation) : -1;
  return { light: { x, y: values.map((value) => Math.max(value / full, floor)) }, full };
}

/** Evenly chosen averages of a track. */
function some({ times, values }: HannTrack): Pick<HannTrack, 'times' | 'values'> {
  const every = Math.ceil(times.length / averages);
  const isChosen = (_: number, k: number): boolean => k % every === 0;
  return { times: times.filter(isChosen), values: values.filter(isChosen) };
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
