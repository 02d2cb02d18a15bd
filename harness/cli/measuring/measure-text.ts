import { plainLine } from '../../files/plain-text.ts';
import { explainNotMeasurable } from '../../measure/explain.ts';
import type { Metric, Need, Parameter } from '../../measure/metric.ts';
import { lacksUncertainty, notAssessed, uncertainText } from '../../report/words/value-text.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { findUnit } from '../../units/unit-table.ts';
import type { Assessed } from '../../verdict/uncertainty.ts';
import type { Io } from '../common/io.ts';
import type { Measurement } from './measure-metric.ts';

/** `{"outcomes": […]}`: one object per metric and subject, figures in SI. */
export function outcomesJson(measurements: readonly Measurement[]): string {
  const outcomes = measurements.map(({ metric, of, assessed }) =>
    'expanded' in assessed
      ? {
          metric: metric.id,
          of,
          measured: true,
          value: assessed.outcome.value,
          unit: metric.unit,
          expanded: assessed.expanded,
          ...(lacksUncertainty(
            assessed.outcome.value,
            assessed.expanded,
            metric.unit,
            metric.shown,
          ) && { uncertainty: notAssessed }),
          ...(assessed.outcome.floor !== undefined && { floor: assessed.outcome.floor }),
          notes: assessed.outcome.evidence.notes,
        }
      : {
          metric: metric.id,
          of,
          measured: false,
          reason: assessed.outcome.reason,
          detail: explainNotMeasurable(assessed.outcome),
        },
  );
  return `${JSON.stringify({ outcomes })}\n`;
}

/** A table for people: what could be measured, then what could not and why. */
export function outcomesTable(measurements: readonly Measurement[], io: Io): string {
  const subjects = new Set(measurements.map(({ of }) => of));
  const rows = measurements.map(({ metric, of, assessed }) => {
    const value =
      'expanded' in assessed
        ? measuredText(metric, assessed)
        : `not measurable: ${explainNotMeasurable(assessed.outcome)}`;
    const cells = [metric.id, metric.title, ...(subjects.size > 1 ? [of] : []), value];
    return { measured: 'expanded' in assessed, cells: cells.map(plainLine) };
  });
  const sorted = [
    ...rows.filter(({ measured }) => measured),
    ...rows.filter(({ measured }) => !measured),
  ];
  const width = io.terminal ? io.columns : Number.POSITIVE_INFINITY;
  const table = aligned(
    sorted.map(({ cells }) => cells),
    width,
  );
  return [table, ...doubtsOf(measurements)].join('');
}

/** What the values take for granted since nobody has stated it, and how to state it. */
const doubts: Readonly<Record<string, string>> = {
  'zero-not-stated': '--calibration offset=… states how far it may be off',
  'possible-pickup': 'the uncertainty holds it',
};

function doubtsOf(measurements: readonly Measurement[]): readonly string[] {
  const told = measurements.flatMap(({ assessed: { outcome } }) =>
    outcome.measured ? Object.entries(outcome.evidence.notes) : [],
  );
  const lines = told
    .filter(([name]) => Object.hasOwn(doubts, name))
    .map(([name, note]) => plainLine(`${name}: ${note}; ${doubts[name]}`));
  return [...new Set(lines)].map((line) => `${line}\n`);
}

/** Pure numbers below this are the rounding of the computation: twelve zeros would say no more than one. */
const rounding = 1e-9;

/** `29.99 ± 0.02 %` */
export function measuredText(
  metric: Metric,
  { outcome, expanded }: Extract<Assessed, { readonly expanded: number }>,
): string {
  const { value } = outcome;
  const nothing = metric.unit === '1' && Math.abs(value) < rounding && expanded < rounding;
  const figure = nothing ? 0 : value;
  return uncertainText(figure, nothing ? 0 : expanded, metric.unit, shownUnit(metric));
}

/** A unit that cannot show the metric's own is a mistake in the metric; its SI unit is then shown. */
function shownUnit({ unit, shown, dimension }: Metric): string {
  return findUnit(shown)?.dimension === dimension ? shown : unit;
}

/** Every metric with unit, need, parameters and source. */
export function metricList(chosen: readonly Metric[], json: boolean): string {
  if (json) {
    const list = chosen.map(({ id, title, family, unit, shown, needs, parameters, source }) => ({
      ...{ id, title, family, unit, shown, needs, parameters, source },
    }));
    return `${JSON.stringify({ metrics: list })}\n`;
  }
  return chosen
    .map((metric) =>
      [
        `${metric.id}  (${metric.title})`,
        `  unit    ${unitWords(metric)}`,
        `  needs   ${needWords(metric.needs)}`,
        ...metric.parameters.map((parameter) => `  set     ${parameterWords(parameter)}`),
        `  source  ${metric.source}`,
      ].join('\n'),
    )
    .join('\n\n')
    .concat('\n');
}

function unitWords({ unit, shown, dimension }: Metric): string {
  const own = unit === '1' ? dimension : unit;
  return shown === unit || shown === '1' ? own : `${own}, shown in ${shown}`;
}

function needWords(need: Need): string {
  const { signals, scope, rate, duration, bandwidth, fade, reference, model } = need;
  return [
    signals.length > 0 && scope === 'all-channels'
      ? `${signals.join(' or ')} of every channel`
      : signals.join(' or '),
    rate === undefined ? '' : `at ${formatQuantity(rate, 'frequency')} or faster`,
    duration === undefined ? '' : `for ${formatQuantity(duration, 'time')} or longer`,
    bandwidth === undefined ? '' : `${formatQuantity(bandwidth, 'frequency')} of bandwidth`,
    fade ? 'exactly one fade (--from, --to, --over, --at)' : '',
    reference ? 'a reference window (--reference)' : '',
    model ? 'a run that tells what was sent to the lamp' : '',
  ]
    .filter((part) => part !== '')
    .join(', ');
}

function parameterWords({ name, kind, default: usual, about }: Parameter): string {
  const value =
    usual === null
      ? 'must be set'
      : typeof usual === 'number' && typeof kind === 'string'
        ? formatQuantity(usual, kind)
        : String(usual);
  const choice = typeof kind === 'string' ? '' : ` (${kind.join(', ')})`;
  return `${name}=${value}${choice}: ${about}`;
}

/** Columns as wide as their widest cell; the last one is wrapped to the width of the terminal. */
function aligned(rows: readonly (readonly string[])[], width: number): string {
  const widths: number[] = [];
  for (const row of rows)
    for (const [k, cell] of row.slice(0, -1).entries())
      widths[k] = Math.max(widths[k] ?? 0, cell.length);
  const indent = widths.reduce((sum, each) => sum + each + 2, 0);
  return rows
    .map((row) => {
      const head = widths.map((each, k) => (row[k] ?? '').padEnd(each + 2)).join('');
      return head + wrapped(row.at(-1) ?? '', Math.max(30, width - indent), indent);
    })
    .join('\n')
    .concat('\n');
}

function wrapped(text: string, width: number, indent: number): string {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && line.length + 1 + word.length > width) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, line].join(`\n${' '.repeat(indent)}`);
}
