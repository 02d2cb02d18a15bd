import { type Chart, chartPoints, type Line } from '../evidence.ts';
import { commandAt } from '../features/model/beyond-model.ts';
import type { HeldLight } from '../features/model/held-light.ts';
import type { Observation } from '../observation.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';
import { valueAt } from '../signal/samples.ts';

/** Averages on either side of the place that the picture is about. */
const around = 200;
/** Points of a light that is nowhere outside: its course can be seen, and a library holds hundreds of them. */
const calmPoints = 300;

/**
 * The averaged light between the bounds that the model allows: about the place where it lies farthest outside, marked with the command
 * that it had to follow; over the whole window where it never does.
 */
export function modelChart(
  held: HeldLight,
  observation: Observation,
  worst: number | null,
  title: string,
): Chart {
  const { curve } = observation.commanded;
  const isLogarithmic = curve.kind === 'logarithmic';
  const bottom = isLogarithmic ? curve.bottom / 10 : Number.NEGATIVE_INFINITY;
  const count = held.times.length;
  const first = worst === null ? 0 : Math.max(0, worst - around);
  const last = worst === null ? count : Math.min(count, worst + around);
  const most = worst === null ? calmPoints : chartPoints;
  // Places of the light's extremes, so that no spike is thinned away; the bounds are read at the same places.
  const places = decimateMinMax(held.light.subarray(first, last), most).at;
  const cut = (values: Float64Array) => places.map((place) => valueAt(values, first + place));
  const x = cut(held.times);
  const line = (name: string, role: Line['role'], values: Float64Array): Line => ({
    name,
    role,
    x,
    y: cut(values).map((value) => Math.max(bottom, value)),
  });
  const at = worst === null ? null : valueAt(held.times, worst);
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'relative light', unit: '1', shown: '%', scale: isLogarithmic ? 'log' : 'linear' },
    lines: [
      line('allowed at most', 'corridor', held.most),
      line('allowed at least', 'corridor', held.least),
      line('averaged light', 'measured', held.light),
    ],
    marks: at === null ? [] : [{ at, label: commandAt(observation, at) || 'outside' }],
  };
}
