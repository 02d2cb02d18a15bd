import type { Dimension, UnitSymbol } from './unit.ts';

/** A unit that people write or read: 1 of it is `factor * 10^exponent` of its dimension's SI unit. */
export interface Unit {
  readonly symbol: UnitSymbol;
  readonly dimension: Dimension;
  readonly exponent: number;
  /** For units that are no decimal multiple (`min`, `h`, `d`). */
  readonly factor: number;
}

const decimal = (dimension: Dimension, symbols: Readonly<Record<UnitSymbol, number>>): Unit[] =>
  Object.entries(symbols).map(([symbol, exponent]) => ({ symbol, dimension, exponent, factor: 1 }));

/** Every unit, the canonical spelling of each size first: `formatQuantity` picks from here in this order. */
const table: readonly Unit[] = [
  ...decimal('time', { s: 0, ms: -3, µs: -6, ns: -9 }),
  { symbol: 'min', dimension: 'time', exponent: 0, factor: 60 },
  { symbol: 'h', dimension: 'time', exponent: 0, factor: 3600 },
  { symbol: 'd', dimension: 'time', exponent: 0, factor: 86_400 },
  ...decimal('frequency', { Hz: 0, kHz: 3, MHz: 6, mHz: -3, GHz: 9 }),
  ...decimal('frequency', { 'S/s': 0, 'kS/s': 3, 'MS/s': 6, fps: 0, Bd: 0 }),
  ...decimal('voltage', { V: 0, mV: -3, µV: -6, kV: 3 }),
  ...decimal('current', { A: 0, mA: -3, µA: -6, nA: -9 }),
  ...decimal('power', { W: 0, mW: -3, µW: -6, kW: 3 }),
  ...decimal('resistance', { Ω: 0, mΩ: -3, kΩ: 3, MΩ: 6, ohm: 0 }),
  ...decimal('inductance', { H: 0, mH: -3, µH: -6, nH: -9 }),
  ...decimal('capacitance', { F: 0, mF: -3, µF: -6, nF: -9, pF: -12 }),
  ...decimal('ratio', { '%': -2, '‰': -3, ppm: -6 }),
  ...decimal('number', { SDCM: 0, steps: 0, step: 0, codes: 0, code: 0, bit: 0, bits: 0 }),
  ...decimal('illuminance', { lx: 0, mlx: -3, klx: 3 }),
  ...decimal('luminous-flux', { lm: 0, mlm: -3, klm: 3 }),
  ...decimal('temperature', { '°C': 0 }),
  ...decimal('colour-temperature', { K: 0 }),
  ...decimal('lightness', { 'L*': 0, 'ΔL*': 0 }),
  ...decimal('slope', { '1/s': 0, '%/s': -2 }),
];

const bySymbol = new Map(table.map((unit) => [unit.symbol, unit]));

/** Two code points are written for micro and for ohm, and a keyboard often has neither. */
function canonical(symbol: string): string {
  const spelled = symbol.replace(/\u03bc/g, 'µ').replace(/\u2126/g, 'Ω');
  if (bySymbol.has(spelled)) return spelled;
  return spelled.replace(/^u(?=[sVAWHF]$)/, 'µ');
}

/** The unit of a symbol as people write it; `us` and `uH` count as `µs` and `µH`. */
export function findUnit(symbol: string): Unit | undefined {
  return bySymbol.get(canonical(symbol));
}

export function unitsOf(dimension: Dimension): readonly Unit[] {
  return table.filter((unit) => unit.dimension === dimension);
}
