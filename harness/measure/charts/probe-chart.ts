import { type Chart, chartPoints } from '../evidence.ts';
import type { Stretch } from '../features/probe-stretches.ts';
import type { ProbeTrack, Window } from '../observation.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';

/** A variable of the firmware over a window, in steps. */
export function probeChart(
  { name, unit }: Pick<ProbeTrack, 'name' | 'unit'>,
  stretches: readonly Stretch[],
  { from, to }: Window,
): Chart {
  const corners = stretches.flatMap((one) => [
    { at: one.from, value: one.value },
    { at: one.to, value: one.value },
  ]);
  const { at } = decimateMinMax(
    Float64Array.from(corners, ({ value }) => value),
    chartPoints,
  );
  const kept = at.flatMap((place) => corners[place] ?? []);
  return {
    kind: 'waveform',
    title: `Probe ${name}`,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: unit === '' ? name : `${name} in ${unit}`, unit: '1', scale: 'linear' },
    lines: [
      { name, role: 'measured', x: kept.map((one) => one.at), y: kept.map((one) => one.value) },
    ],
    marks: [
      { at: from, label: 'from' },
      { at: to, label: 'to' },
    ],
  };
}
