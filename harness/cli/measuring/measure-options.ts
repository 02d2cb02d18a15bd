import { didYouMean } from '../../files/did-you-mean.ts';
import type { Metric, Parameter } from '../../measure/metric.ts';
import { metrics } from '../../measure/metrics.ts';
import type { Window } from '../../measure/observation.ts';
import { parseQuantity } from '../../units/parse-quantity.ts';
import { type Dimension, siUnit } from '../../units/unit.ts';
import { Complaint } from '../../workflow/complaint.ts';

/** Options as commander hands them over. */
export interface MeasureFlags {
  readonly metric?: readonly string[];
  readonly of?: readonly string[];
  readonly column?: string;
  readonly rate?: string;
  readonly unit?: string;
  readonly range?: string;
  readonly dark?: string;
  readonly set?: readonly string[];
  readonly during?: string;
  readonly reference?: string;
  readonly from?: string;
  readonly to?: string;
  readonly over?: string;
  readonly at?: string;
  readonly level?: string;
  readonly curve?: string;
  readonly bottom?: string;
  readonly calibration?: readonly string[];
  readonly coverage?: string;
  readonly atMost?: string;
  readonly atLeast?: string;
  readonly between?: string;
  readonly json?: boolean;
  readonly list?: boolean;
  readonly page?: string;
  readonly spec?: string;
  readonly claim?: readonly string[];
  readonly condition?: string;
  readonly lamp?: string;
  readonly begin?: string;
  readonly mark?: readonly string[];
}

/** An error in the command line: what was expected, what was found. */
export function usage(message: string): Complaint {
  return new Complaint('usage', message);
}

/** `--name` with a quantity of one dimension, in SI. A bare number is taken for SI, or for a ratio. */
export function quantityOption(name: string, text: string, dimension: Dimension): number {
  const parsed = parseQuantity(text);
  if (!parsed.ok)
    throw usage(
      `--${name}: expected ${article(dimension)} in ${siUnit[dimension]}, ${parsed.problem}`,
    );
  const { quantity } = parsed;
  if (quantity.dimension !== dimension && quantity.dimension !== 'number')
    throw usage(
      `--${name}: expected ${article(dimension)} in ${siUnit[dimension]}, found "${text}", which is ${article(quantity.dimension)}`,
    );
  return quantity.value;
}

function article(dimension: Dimension): string {
  return /^[aeiou]/.test(dimension) ? `an ${dimension}` : `a ${dimension}`;
}

/** `1 s..2.5 s`, on the file's own time axis. */
export function windowOption(name: string, text: string): Window {
  const parts = text.split('..');
  if (parts.length !== 2)
    throw usage(`--${name}: expected two instants, as in "1 s..2.5 s", found "${text}"`);
  const [from, to] = parts.map((part) => quantityOption(name, part, 'time')) as [number, number];
  if (!(to > from)) throw usage(`--${name}: expected the later instant last, found "${text}"`);
  return { from, to };
}

/** `--range "-32768..32767"`: the ends of the converter's range, in the file's own unit. */
export function rangeOption(text: string): { readonly low: number; readonly high: number } {
  const [low, high, ...rest] = text.split('..').map((part) => Number(part.trim() || 'none'));
  const sound = Number.isFinite(low) && Number.isFinite(high) && rest.length === 0;
  if (!sound || low === undefined || high === undefined || low >= high)
    throw usage(
      `--range: expected the lowest and the highest value of the converter, as in "-32768..32767", found "${text}"`,
    );
  return { low, high };
}

/** The metrics that were asked for; `all`, and asking for none, means every one. */
export function metricsOption(asked: readonly string[] = []): readonly Metric[] {
  const names = asked.flatMap((text) => text.split(',')).map((name) => name.trim());
  if (names.length === 0 || names.includes('all')) return metrics;
  const known = metrics.map(({ id }) => id);
  return names.map((name) => {
    const metric = metrics.find(({ id }) => id === name);
    if (metric) return metric;
    throw usage(
      `--metric: there is no metric "${name}"${didYouMean(name, known)} (evenfall measure --list names them all)`,
    );
  });
}

/** `name=value` pairs. */
export function pairsOption(option: string, texts: readonly string[] = []): Map<string, string> {
  return new Map(
    texts.map((text) => {
      const [name, ...rest] = text.split('=');
      if (rest.length === 0 || name === undefined || name.trim() === '')
        throw usage(`--${option}: expected name=value, found "${text}"`);
      return [name.trim(), rest.join('=').trim()] as const;
    }),
  );
}

/** Every pair must belong to one of the metrics. */
export function checkParameterNames(
  set: ReadonlyMap<string, string>,
  chosen: readonly Metric[],
): void {
  const known = [
    ...new Set(chosen.flatMap(({ parameters }) => parameters.map(({ name }) => name))),
  ];
  for (const name of set.keys()) {
    if (known.includes(name)) continue;
    const [only, ...others] = chosen;
    const whose = only && others.length === 0 ? only.id : 'any of the metrics';
    throw usage(
      `--set: "${name}" is no parameter of ${whose}${didYouMean(name, known)}${known.length > 0 ? ` (known: ${known.join(', ')})` : ''}`,
    );
  }
}

/** A metric's parameters in SI; the names of those that have no default and were not set. */
export function parameterValues(
  { parameters }: Metric,
  set: ReadonlyMap<string, string>,
): { readonly values: Record<string, number | string>; readonly missing: readonly string[] } {
  const values: Record<string, number | string> = {};
  const missing: string[] = [];
  for (const parameter of parameters) {
    const text = set.get(parameter.name);
    const value = text === undefined ? parameter.default : parameterValue(parameter, text);
    if (value === null) missing.push(parameter.name);
    else values[parameter.name] = value;
  }
  return { values, missing };
}

function parameterValue({ name, kind }: Parameter, text: string): number | string {
  if (typeof kind === 'string') return quantityOption(`set ${name}`, text, kind);
  if (kind.includes(text)) return text;
  throw usage(
    `--set ${name}: expected ${kind.join(' or ')}, found "${text}"${didYouMean(text, kind)}`,
  );
}
