import { spectrumChart } from '../../charts/flicker-charts.ts';
import { type Component, componentsOf } from '../../features/flicker/components.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { shareContributions, shareFloor } from '../../features/flicker/worst-component.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

const needs: Need = { ...lightNeed, rate: 10_000, duration: 1, bandwidth: 2000 };

/** Hz: what is slower counts where two periods and more show it, and is drift otherwise; TLM measures end at 2 kHz. */
const band = { from: 1, to: 2000 };
/** Rows of the table. */
const rows = 10;

/**
 * The table of modulation over frequency: the strongest Fourier components of the light up to 2 kHz, each with its
 * amplitude relative to the mean. The value is that of the strongest; the table stands among the notes.
 * Inputs: light (lx) or LED current (A), at least 1 s at 10 kS/s. Output: ratio, 0 where no component stands above the noise.
 * Floor: what noise, rounding, resolution and averaging may hide in the band.
 * Not measurable: record too short or too slow, sensor below 2 kHz; dark, clipped, negative or non-finite samples.
 * Fooled by: hum of the bench; light that drifts, which spreads into the lowest lines; a tone that wanders, whose line
 * is lower than it is.
 * Source: CIE TN 012:2021 (frequencies and modulations of a waveform are reported; from memory); Fourier series, textbook.
 */
export const strongestComponent: Metric = {
  id: 'strongest-component',
  title: 'Modulation of the strongest component up to 2 kHz',
  family: 'flicker',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs,
  parameters: [],
  source: 'cie-tn-012',
  blindTo: ['scale'],
  compute(observation, options) {
    const record = litRecord(observation, needs);
    if (!isMeasurable(record)) return record;
    const components = componentsOf(record)
      .filter(({ frequency }) => frequency <= band.to)
      .sort((a, b) => b.amplitude - a.amplitude);
    const value = components[0]?.amplitude ?? 0;
    if (options?.evidence === false) return measured(value, noEvidence);
    const charts = [spectrumChart(record.analysis, [], 'modulation')];
    const contributions = shareContributions(components, () => 1);
    const floor = shareFloor(record, band, () => 1);
    return measured(value, { charts, notes: table(components) }, contributions, floor);
  },
};

function table(components: readonly Component[]): Record<string, string> {
  const shown = components.slice(0, rows).map(({ frequency, amplitude }, k) => {
    const hertz = Number(frequency.toPrecision(5));
    const percent = Number((100 * amplitude).toPrecision(3));
    return [`component-${k + 1}`, `${hertz} Hz: ${percent} %`] as const;
  });
  return Object.fromEntries(shown);
}
