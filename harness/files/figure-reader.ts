import { formatQuantity } from '../units/format-quantity.ts';
import { type ParsedQuantity, parseQuantity } from '../units/parse-quantity.ts';
import type { Dimension } from '../units/unit.ts';
import { describeValue } from './describe-value.ts';
import type { Issue, PathStep } from './issue.ts';
import { valueAt } from './schema-issues.ts';
import type { YamlFile } from './yaml-file.ts';

export interface FigureOptions {
  /** Smallest and largest value allowed, SI. */
  readonly least?: number;
  readonly most?: number;
  /** Must be larger than this, SI. */
  readonly above?: number;
  /** A ratio may be written without a unit (0.4); default false: `40 %` only. */
  readonly bare?: boolean;
}

/** An example of each dimension, for the end of a sentence. */
export const examples: Readonly<Record<Dimension, string>> = {
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

/** Reads the figures of one file and gathers what is wrong with them. A figure that is wrong reads as NaN. */
export class FigureReader {
  readonly yaml: YamlFile;
  readonly issues: Issue[] = [];

  constructor(yaml: YamlFile) {
    this.yaml = yaml;
  }

  report(path: readonly PathStep[], message: string, at: 'value' | 'key' = 'value'): void {
    this.issues.push(this.yaml.issue(path, message, at));
  }

  /** The figure at a path, in SI. */
  figure(path: readonly PathStep[], dimension: Dimension, options: FigureOptions = {}): number {
    const result = readFigure(valueAt(this.yaml.value, path), dimension, options);
    if ('value' in result) return result.value;
    this.report(path, result.problem);
    return Number.NaN;
  }

  /** The figure at a path, or what holds when nothing is written there. */
  optional(
    path: readonly PathStep[],
    dimension: Dimension,
    otherwise: number,
    options: FigureOptions = {},
  ): number {
    return valueAt(this.yaml.value, path) === undefined
      ? otherwise
      : this.figure(path, dimension, options);
  }
}

/** A written value as a figure of one dimension, SI; or one sentence why not. */
export function readFigure(
  found: unknown,
  dimension: Dimension,
  options: FigureOptions = {},
): { readonly value: number } | { readonly problem: string } {
  const expected = `expected a ${words(dimension)} such as ${examples[dimension]}`;
  if (typeof found !== 'string' && typeof found !== 'number')
    return { problem: `${expected}, found ${describeValue(found)}` };
  const parsed: ParsedQuantity = parseQuantity(String(found));
  if (!parsed.ok) return { problem: `${expected}, but ${parsed.problem}` };
  const { value, unit } = parsed.quantity;
  if (!fits(parsed.quantity.dimension, dimension, options.bare ?? false)) {
    if (unit !== '')
      return { problem: `${expected}, but ${unit} is a unit of ${words(parsed.quantity.dimension)}` };
    const meant = /[^\d\s]+$/.exec(examples[dimension])?.[0] ?? '';
    return { problem: `${expected}, found ${found} without a unit; write ${found} ${meant}` };
  }
  return bounded(value, dimension, options, String(found).trim());
}

function bounded(
  value: number,
  dimension: Dimension,
  { least, most, above }: FigureOptions,
  found: string,
): { readonly value: number } | { readonly problem: string } {
  const show = (limit: number): string => formatQuantity(limit, dimension);
  if (above !== undefined && !(value > above))
    return { problem: `expected more than ${show(above)}, found ${found}` };
  if (least !== undefined && value < least)
    return { problem: `expected at least ${show(least)}, found ${found}` };
  if (most !== undefined && value > most)
    return { problem: `expected at most ${show(most)}, found ${found}` };
  return { value };
}

function fits(found: Dimension, wanted: Dimension, bare: boolean): boolean {
  if (found === wanted) return true;
  // A rate may be written as 1/s.
  if (wanted === 'frequency' && found === 'slope') return true;
  return found === 'number' && wanted === 'ratio' && bare;
}

function words(dimension: Dimension): string {
  return dimension.replaceAll('-', ' ');
}
