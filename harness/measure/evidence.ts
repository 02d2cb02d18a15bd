import type { UnitSymbol } from '../units/unit.ts';

/** What a metric saw, small enough to be stored with the finding (a chart has at most `chartPoints` points a line). */
export interface Evidence {
  readonly charts: readonly Chart[];
  /** Figures beside the value, in SI units, e.g. `{ "dominant-frequency": 1000 }`. */
  readonly notes: Readonly<Record<string, number | string>>;
}

export const chartPoints = 1000;

export interface Chart {
  readonly kind: 'waveform' | 'spectrum' | 'path' | 'arrivals' | 'bands' | 'curve' | 'spectrogram';
  readonly title: string;
  readonly x: Axis;
  readonly y: Axis;
  readonly lines: readonly Line[];
  /** Instants or frequencies worth a label, in the unit of x. */
  readonly marks: readonly { readonly at: number; readonly label: string }[];
}

export interface Axis {
  readonly label: string;
  /** SI unit of the figures, and the one to show them in where that is another (% for a ratio). */
  readonly unit: UnitSymbol;
  readonly shown?: UnitSymbol;
  readonly scale: 'linear' | 'log';
}

export interface Line {
  readonly name: string;
  /**
   * `commanded` is what the lamp was told, `fit` a line through what was measured. `corridor` lines come in pairs (upper, lower); `limit`
   * is a tolerance drawn over the data.
   */
  readonly role: 'measured' | 'commanded' | 'fit' | 'ideal' | 'limit' | 'corridor' | 'target';
  readonly x: readonly number[];
  readonly y: readonly number[];
}
