import { shiftDecimal } from './shift-decimal.ts';
import type { Dimension, UnitSymbol } from './unit.ts';
import { findUnit } from './unit-table.ts';

/** A number with its unit, as a person wrote it. */
interface Quantity {
  /** In the SI unit of the dimension. */
  readonly value: number;
  /** `number` where no unit was written. */
  readonly dimension: Dimension;
  /** As written; empty where none was. */
  readonly unit: UnitSymbol;
}

export type ParsedQuantity =
  | { readonly ok: true; readonly quantity: Quantity }
  /** Why not, as the end of a sentence: `no number in "soon"`. */
  | { readonly ok: false; readonly problem: string };

const number = /^([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)(?:\/(\d+(?:\.\d+)?))?/;

/**
 * Reads `20 ms`, `0.1 %`, `10 kS/s`, `1/1000 s`, `2700 K`, `5`. A decimal point, no comma; the unit may follow with
 * or without a space.
 */
export function parseQuantity(text: string): ParsedQuantity {
  const trimmed = text.trim().replace(/^\u2212/, '-');
  const refused = refusal(trimmed);
  if (refused) return { ok: false, problem: refused };
  const match = number.exec(trimmed);
  if (!match) return { ok: false, problem: `no number in "${shorten(trimmed)}"` };
  const symbol = trimmed.slice(match[0].length).trim();
  const unit = symbol === '' ? undefined : findUnit(symbol);
  if (symbol !== '' && !unit) return { ok: false, problem: unknownUnit(symbol) };
  const divisor = match[2] === undefined ? 1 : Number(match[2]);
  const value =
    (shiftDecimal(Number(match[1]), unit?.exponent ?? 0) * (unit?.factor ?? 1)) / divisor;
  if (!Number.isFinite(value))
    return { ok: false, problem: `"${shorten(trimmed)}" is not a finite number` };
  return {
    ok: true,
    quantity: { value, dimension: unit?.dimension ?? 'number', unit: symbol },
  };
}

/** Spellings that deserve a better word than `no number`. */
function refusal(text: string): string | null {
  if (text === '') return 'nothing there';
  if (/^[+-]?(\.?nan|\.?inf(inity)?)\b/i.test(text))
    return `"${shorten(text)}" is not a finite number`;
  if (/^[+-]?\d+,\d+/.test(text))
    return `"${shorten(text)}" has a decimal comma; write a decimal point`;
  if (/^[+-]?\d+ \d/.test(text)) return `"${shorten(text)}" has a space inside the number`;
  return null;
}

function unknownUnit(symbol: string): string {
  return /^[\d.eE+-]/.test(symbol)
    ? `"${shorten(symbol)}" follows the number, where a unit should stand`
    : `the unit "${shorten(symbol)}" is not known`;
}

function shorten(text: string): string {
  return text.length > 40 ? `${text.slice(0, 40)}…` : text;
}
