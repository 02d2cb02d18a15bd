import { shiftDecimal } from './shift-decimal.ts';
import { type Dimension, siUnit, type UnitSymbol } from './unit.ts';
import { findUnit } from './unit-table.ts';

/**
 * A value in `unit` (an SI unit, as stored) as the number to print beside `shown`: toShown(0.02, 's', 'ms') is 20.
 * Throws RangeError where the two units do not measure the same thing: that is a mistake in the program.
 */
export function toShown(value: number, unit: UnitSymbol, shown: UnitSymbol): number {
  return convert(value, unit, shown, -1);
}

/** The way back: fromShown(20, 's', 'ms') is 0.02. */
export function fromShown(value: number, unit: UnitSymbol, shown: UnitSymbol): number {
  return convert(value, unit, shown, 1);
}

function convert(value: number, unit: UnitSymbol, shown: UnitSymbol, direction: 1 | -1): number {
  if (unit === shown) return value;
  const target = findUnit(shown);
  if (!target || siUnit[target.dimension] !== stored(unit))
    throw new RangeError(`${unit || 'a bare number'} cannot be shown in ${shown}`);
  const factor = direction === 1 ? target.factor : 1 / target.factor;
  return shiftDecimal(value, direction * target.exponent) * factor;
}

function stored(unit: UnitSymbol): UnitSymbol {
  const known = findUnit(unit);
  return known && known.exponent === 0 && known.factor === 1
    ? siUnit[known.dimension as Dimension]
    : unit;
}
