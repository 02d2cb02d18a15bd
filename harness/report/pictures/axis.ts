import { scaleLinear, scaleLog } from 'd3-scale';
import { formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import type { UnitSymbol } from '../../units/unit.ts';
import { fittingUnit, shownUnit } from '../words/value-text.ts';

/** The figures from one end of an axis to the other. */
export interface AxisRange {
  readonly from: number;
  readonly to: number;
  readonly log: boolean;
}

/** A way from figures to places on paper and back. */
export interface Scale {
  (value: number): number;
  invert(place: number): number;
}

export interface Tick {
  readonly at: number;
  /** Empty for a tick between those that have words. */
  readonly label: string;
}

/** Straight or logarithmic; figures beyond the range are placed beyond its ends. */
export function scaleOf({ from, to, log }: AxisRange, start: number, end: number): Scale {
  const scale = d3Scale({ from, to, log }).range([start, end]);
  // On a logarithmic axis 0 and below lie at the far end, as the least figure there is does.
  const place = (value: number) => scale(log ? Math.max(value, Number.MIN_VALUE) : value);
  return Object.assign(place, { invert: (at: number) => scale.invert(at) });
}

function d3Scale({ from, to, log }: AxisRange) {
  return log ? scaleLog([from, to], [0, 1]) : scaleLinear([from, to], [0, 1]);
}

/** About `count` ticks with words; a logarithmic axis has all multiples of its powers of ten, some without words. */
export function ticksOf(range: AxisRange, count: number, text: (tick: number) => string): Tick[] {
  const ticks = d3Scale(range).ticks(count);
  const told = range.log ? toldOnLog(ticks, range, count) : ticks;
  const withWords = new Set(told.length > 1 ? told : ticks);
  return ticks.map((at) => ({ at, label: withWords.has(at) ? text(at) : '' }));
}

/** Powers of ten, with 2 and 5 between them where there is room. */
function toldOnLog(ticks: readonly number[], { from, to }: AxisRange, count: number): number[] {
  const multiples = Math.log10(to / from) * 3 <= count ? [1, 2, 5] : [1];
  return ticks.filter((tick) => {
    const multiple = tick / 10 ** Math.floor(Math.log10(tick) + 1e-9);
    return multiples.some((one) => Math.abs(multiple / one - 1) < 1e-9);
  });
}

/** The unit that all ticks of an axis share: the one that the axis asks for, or the one that its figures read best in. */
export function tickUnit(
  { from, to, log }: AxisRange,
  { unit, shown }: { readonly unit: UnitSymbol; readonly shown?: UnitSymbol | undefined },
): UnitSymbol {
  if (shown !== undefined) return shownUnit(unit, shown);
  return log ? unit : fittingUnit(Math.max(Math.abs(from), Math.abs(to)), unit);
}

/** A figure on an axis; six digits are more than any tick has. */
export function tickText(value: number, unit: UnitSymbol, shown: UnitSymbol): string {
  return formatNumber(shown === unit ? value : toShown(value, unit, shown), 6);
}
