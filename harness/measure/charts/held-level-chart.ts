import type { Chart, Line } from '../evidence.ts';
import { commandedCourse } from '../features/level/commanded-course.ts';
import { commandedReference, heldTrack } from '../features/level/held-track.ts';
import type { RelativeLevel } from '../features/level/relative-level.ts';
import type { Observation } from '../observation.ts';
import { isMeasurable } from '../outcome.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';

/** Of the measured line. */
const points = 120;

/**
 * The averaged light of a window relative to its reference, with its mean.
 *
 * @param asked level of the reference window: its commanded one, or 1 where levels are told relative to the reference itself
 */
export function heldLevelChart(
  observation: Observation,
  level: RelativeLevel,
  asked: number,
): readonly Chart[] {
  const { window, of } = observation;
  const track = heldTrack(observation);
  if (!isMeasurable(track)) return [];
  const { at, values } = decimateMinMax(track.values, points);
  const scale = asked / level.reference;
  const ends = [window.from, window.to];
  const mean = level.ratio * asked;
  const lines: Line[] = [
    { name: 'mean of the window', role: 'fit', x: ends, y: [mean, mean] },
    {
      name: of,
      role: 'measured',
      x: at.flatMap((k) => track.times[k] ?? []),
      y: values.map((value) => value * scale),
    },
  ];
  return [
    {
      kind: 'waveform',
      title: `Level of ${of}`,
      x: { label: 'time', unit: 's', scale: 'linear' },
      y: { label: 'level relative to the reference', unit: '1', shown: '%', scale: 'linear' },
      lines,
      marks: [],
    },
  ];
}

/** The same with what was commanded, and the tolerance of a verdict about it. */
export function commandedLevelChart(
  observation: Observation,
  level: RelativeLevel,
): readonly Chart[] {
  const full = commandedReference(observation);
  if (!(full > 0)) return [];
  const commanded = commandedCourse(observation, observation.window);
  return heldLevelChart(observation, level, full).map((chart) => ({
    ...chart,
    y: { ...chart.y, label: 'level of full light' },
    lines: [{ name: 'commanded', role: 'commanded', ...commanded }, ...chart.lines],
  }));
}
