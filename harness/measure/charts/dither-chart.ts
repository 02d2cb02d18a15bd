import { type Chart, chartPoints } from '../evidence.ts';
import { visibleModulation } from '../features/fade/visible-modulation.ts';
import type { SpectralLine } from '../signal/spectral-lines.ts';

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
