import { formatQuantity } from '../units/format-quantity.ts';
import { parseQuantity } from '../units/parse-quantity.ts';
import type { Dimension } from '../units/unit.ts';
import { describeValue } from './describe-value.ts';

export interface FigureOptions {
  /** Smallest and largest value allowed, SI. */
  readonly least?: number;
  readonly most?: number;
  /** Must be larger than this, SI. */
  readonly above?: number;
  /** A ratio may be written without a unit (0.4); default false: `40 %` only. */
  readonly bare?: boolean;
}

/** One of each dimension, for the end of a sentence. */
const examples: Readonly<Record<Dimension, string>> = {
  time: '20 ms',
  frequency: '10 kHz',
  voltage: '48 V',
  current: '700 mA',
  power: '15 W',
  resistance: '1 Ω',
  inductance: '100 µH',
  capacitance: '10 nF',
  ratio: '50 %',
  number: '3',
  illuminance: '500 lx',
  'luminous-flux': '400 lm',
  temperature: '25 °C',
  'colour-temperature': '2700 K',
  lightness: '1 L*',
  slope: '10 %/s',
};

/** A written value as a figure of one dimension, SI; or one sentence why not. */
export function readFigure(
  found: unknown,
  dimension: Dimension,
  options: FigureOptions = {},
): { readonly value: number } | { readonly problem: string } {
  const expected = `expected ${article(dimension)} ${words(dimension)} such as ${examples[dimension]}`;
  if (typeof found !== 'string' && typeof found !== 'number')
    return { problem: `${expected}, found ${describeValue(found)}` };
  const parsed = parseQuantity(String(found));
  if (!parsed.ok) return { problem: `${expected}, but ${parsed.problem}` };
  const { value, unit } = parsed.quantity;
  if (!fits(parsed.quantity.dimension, dimension, options.bare ?? false)) {
    if (unit !== '')
      return {
        problem: `${expected}, but ${unit} is a unit of ${words(parsed.quantity.dimension)}`,
      };
    const meant = /[^\d\s.]+$/.exec(examples[dimension])?.[0] ?? '';
    return { problem: `${expected}, found ${found} without a unit; write ${found} ${meant}` };
  }
  const outside = boundary(value, dimension, options);
  return outside ? { problem: `expected ${outside}, found ${String(found).trim()}` } : { value };
}

function boundary(
  value: number,
  dimension: Dimension,
  { least, most, above }: FigureOptions,
): string | null {
  const unit = (limit: number): string | undefined => {
    if (dimension !== 'time' || limit < 3600) return undefined;
    return limit > 86_400 ? 'd' : 'h';
  };
  const show = (limit: number): string => formatQuantity(limit, dimension, unit(limit));
  if (above !== undefined && !(value > above)) return `more than ${show(above)}`;
  if (least !== undefined && value < least) return `at least ${show(least)}`;
  if (most !== undefined && value > most) return `at most ${show(most)}`;
  return null;
}

function fits(found: Dimension, wanted: Dimension, bare: boolean): boolean {
  if (found === wanted) return true;
  // A rate may be written as 1/s.
  if (wanted === 'frequency' && found === 'slope') return true;
  return found === 'number' && wanted === 'ratio' && bare;
}

function article(dimension: Dimension): string {
  return dimension.startsWith('i') ? 'an' : 'a';
}

function words(dimension: Dimension): string {
  return dimension.replaceAll('-', ' ');
}
