import type { Chart } from '../evidence.ts';
import type { Plateau } from '../features/level/plateaus.ts';

/** Measured over commanded level of a sweep, with the straight line through the brightest plateau. */
export function sweepChart(plateaus: readonly Plateau[], title: string): Chart {
  const lit = plateaus.filter(({ commanded, level }) => commanded > 0 && level > 0);
  const brightest = lit.reduce((one, two) => (two.commanded > one.commanded ? two : one), lit[0]!);
  const scale = brightest ? brightest.level / brightest.commanded : 1;
  const sorted = lit
    .toSorted((a, b) => a.commanded - b.commanded)
    .map(({ commanded }) => commanded);
  return {
    kind: 'curve',
    title,
    x: { label: 'commanded level', unit: '1', scale: 'log' },
    y: { label: 'measured level', unit: '1', scale: 'log' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: lit.map(({ commanded }) => commanded),
        y: lit.map(({ level }) => level / scale),
      },
      { name: 'as commanded', role: 'ideal', x: sorted, y: sorted },
    ],
    marks: [],
  };
}
