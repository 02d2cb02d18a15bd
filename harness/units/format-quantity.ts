import { toShown } from './to-shown.ts';
import { type Dimension, siUnit, type UnitSymbol } from './unit.ts';
import { unitsOf } from './unit-table.ts';

/** Significant digits where nothing else is asked for: a thousandth is finer than any tolerance here. */
const usualDigits = 4;

/**
 * For people: formatQuantity(0.02, 'time') is `20 ms`; formatQuantity(0.001, 'ratio', '%') is `0.1 %`.
 * Without `shown`, the unit that gives a number from 1 up to below 1000; ratios then come in per cent.
 */
export function formatQuantity(
  value: number,
  dimension: Dimension,
  shown?: UnitSymbol,
  digits = usualDigits,
): string {
  const unit = shown ?? fittingUnit(value, dimension);
  return withUnit(formatNumber(toShown(value, siUnit[dimension], unit), digits), unit);
}

/** Value and expanded uncertainty with digits that agree: `2.013 ± 0.004 s`. Both in `unit`, shown in `shown`. */
export function formatMeasured(
  value: number,
  expanded: number,
  unit: UnitSymbol,
  shown: UnitSymbol,
): string {
  const centre = toShown(value, unit, shown);
  const width = toShown(expanded, unit, shown);
  if (!(width > 0) || !Number.isFinite(width)) return withUnit(formatNumber(centre), shown);
  // Two digits of the uncertainty, as JCGM 100:2008 7.2.6 asks; the value ends at the same place (from memory).
  const ofWidth = 1 - Math.floor(Math.log10(width));
  const ofCentre = Math.abs(centre) > width ? mostDigits - 1 - magnitude(centre) : ofWidth;
  const places = Math.min(15, Math.max(0, Math.min(ofWidth, ofCentre)));
  // Where the value ends before the uncertainty does, the latter is rounded up: it is never stated too small.
  const stated = places < ofWidth ? Math.ceil(width * 10 ** places - 1e-9) / 10 ** places : width;
  return withUnit(`${plain(centre, places)} ± ${plain(stated, places)}`, shown);
}

/** Significant digits of a measured value. More, where its uncertainty is tiny, would be read by nobody. */
const mostDigits = 5;

function magnitude(value: number): number {
  return Math.floor(Math.log10(Math.abs(value)));
}

/** A number with `digits` significant digits, without trailing zeros and without an exponent where it reads well. */
export function formatNumber(value: number, digits = usualDigits): string {
  if (Number.isNaN(value)) return 'not a number';
  if (!Number.isFinite(value)) return value > 0 ? '∞' : '−∞';
  const rounded = Number(value.toPrecision(digits));
  const size = Math.abs(rounded);
  const text =
    size !== 0 && (size < 1e-6 || size >= 1e9) ? rounded.toExponential() : trimmed(rounded);
  return text.replace('-', '−').replace('e+', 'e');
}

/** String(1e-7) would have an exponent; ten places are enough for four digits of 1e-6. */
function trimmed(value: number): string {
  const text = String(value);
  return text.includes('e') ? value.toFixed(10).replace(/\.?0+$/, '') : text;
}

function plain(value: number, places: number): string {
  return value.toFixed(places).replace('-', '−');
}

function withUnit(number: string, unit: UnitSymbol): string {
  return unit === '' || unit === '1' ? number : `${number} ${unit}`;
}

function fittingUnit(value: number, dimension: Dimension): UnitSymbol {
  if (dimension === 'ratio') return '%';
  if (dimension === 'number') return '1';
  const size = Math.abs(value);
  const prefixed = unitsOf(dimension).filter(
    ({ symbol, factor }) => factor === 1 && !plainSpellings.has(symbol),
  );
  const fits = prefixed
    .filter(({ exponent }) => size >= 10 ** exponent)
    .sort((a, b) => b.exponent - a.exponent)[0];
  return fits && size !== 0 ? fits.symbol : siUnit[dimension];
}

/** Second names of a unit, good for reading only. */
const plainSpellings = new Set(['S/s', 'kS/s', 'MS/s', 'fps', 'Bd', 'ohm', 'ΔL*', '%/s']);
