import type { Finding } from '../../record/run-record.ts';
import { formatMeasured, formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import type { UnitSymbol } from '../../units/unit.ts';
import { findUnit } from '../../units/unit-table.ts';

/** `41.2 ± 2.9 ms`: the value to the last place that its uncertainty allows, or why there is none. */
export function valueText(finding: Finding): string {
  const { outcome, unit, shown, uncertainty } = finding;
  if (!outcome.measured) return `not measurable (${outcome.reason.replaceAll('-', ' ')})`;
  return uncertainText(outcome.value, uncertainty?.expanded ?? null, unit, shown);
}

/** A value to the last place that its expanded uncertainty allows, where there is one. SI. */
export function uncertainText(
  value: number,
  expanded: number | null,
  unit: UnitSymbol,
  shown: UnitSymbol,
): string {
  const text = formatMeasured(value, expanded ?? 0, unit, shownUnit(unit, shown));
  return lacksUncertainty(value, expanded, unit, shown) ? `${text} (${notAssessed})` : text;
}

/** The expanded uncertainty of a finding with the digits that stand beside its value. */
export function expandedText({ outcome, unit, shown, uncertainty }: Finding): string {
  const expanded = uncertainty?.expanded ?? 0;
  const text = outcome.measured ? uncertainText(outcome.value, expanded, unit, shown) : '';
  return text.split(' ± ')[1] ?? figureText(expanded, unit, shown, 2);
}

/** Said of a figure without an uncertainty: a bare one would pass for an exact one. */
export const notAssessed = 'no uncertainty assessed';

/** No uncertainty, and no exact count, which has none of its own. */
export function lacksUncertainty(
  value: number,
  expanded: number | null,
  unit: UnitSymbol,
  shown: UnitSymbol,
): boolean {
  const isCount = unit === '1' && shown === '1' && Number.isInteger(value);
  return !(expanded !== null && expanded > 0) && !isCount;
}

/** One SI figure in the unit it is shown in. */
export function figureText(
  value: number,
  unit: UnitSymbol,
  shown: UnitSymbol,
  digits?: number,
): string {
  const symbol = shownUnit(unit, shown);
  return withUnit(formatNumber(toShown(value, unit, symbol), digits), symbol);
}

/** One SI figure with the prefix that keeps it between 1 and 1000 (`850 µs`, `48 V`). */
export function autoText(value: number, unit: UnitSymbol, digits?: number): string {
  return figureText(value, unit, fittingUnit(value, unit), digits);
}

/** A time for people: seconds up to two minutes, minutes up to two hours, hours up to two days, then days. */
export function timeText(seconds: number): string {
  if (seconds < 120) return autoText(seconds, 's', 3);
  if (seconds < 2 * 3600) return figureText(seconds, 's', 'min', 3);
  return figureText(seconds, 's', seconds < 2 * 86_400 ? 'h' : 'd', 3);
}

/** The unit in which figures up to this size read best; ticks of an axis share one. */
export function fittingUnit(size: number, unit: UnitSymbol): UnitSymbol {
  if (!prefixable.has(unit) || size === 0) return unit;
  const fits = ['M', 'k', '', 'm', 'µ', 'n']
    .map((prefix) => findUnit(prefix + unit))
    .find((known) => known && Math.abs(size) >= 10 ** known.exponent * 0.999999);
  return fits?.symbol ?? unit;
}

/** A record of another version may name a unit that is not known here: then the stored figure is shown as it is. */
export function shownUnit(unit: UnitSymbol, shown: UnitSymbol): UnitSymbol {
  if (shown === unit) return unit;
  const [from, to] = [findUnit(unit), findUnit(shown)];
  if (!to) return unit;
  if (unit === '1') return to.dimension === 'ratio' || to.dimension === 'number' ? shown : unit;
  return from?.dimension === to.dimension ? shown : unit;
}

export function withUnit(figure: string, unit: UnitSymbol): string {
  return unit === '' || unit === '1' ? figure : `${figure} ${unit}`;
}

/** The size of a seeded fault, in the fault's own unit. */
export function sizeText(size: number, unit: string): string {
  const figure = Number(size.toPrecision(4));
  return unit === '1' ? `${figure}` : `${figure} ${unit}`;
}

const prefixable = new Set(['s', 'Hz', 'V', 'A', 'W', 'Ω', 'H', 'F']);
