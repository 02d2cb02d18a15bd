import { plainLine } from '../../files/plain-text.ts';
import { explainNotMeasurable } from '../../measure/explain.ts';
import type { Metric, Need, Parameter } from '../../measure/metric.ts';
import { counted } from '../../report/words/prose.ts';
import { lacksUncertainty, notAssessed, uncertainText } from '../../report/words/value-text.ts';
import { verdictMark } from '../../report/words/verdict-words.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { findUnit } from '../../units/unit-table.ts';
import type { Assessed } from '../../verdict/uncertainty.ts';
import type { Io } from '../common/io.ts';
import type { Measurement } from './measure-metric.ts';

/** `{"outcomes": […]}`: one object per metric and subject, figures in SI. */
export function outcomesJson(measurements: readonly Measurement[]): string {
  const outcomes = measurements.map(({ metric, of, assessed, judged }) => ({
    ...('expanded' in assessed
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
        }),
    ...judgedJson(judged),
  }));
  return `${JSON.stringify({ outcomes })}\n`;
}

function judgedJson(judged: Measurement['judged']): object {
  if (!judged) return {};
  const { limits, verdict, reason } = judged;
  const { lower, upper } = limits;
  return { verdict, rule: 'guarded', lower, upper, ...(reason !== undefined && { why: reason }) };
}

/** A table for people: what could be measured, then what could not and why. */
export function outcomesTable(all: readonly Measurement[], io: Io, explicit: boolean): string {
  // Asked for by name, a metric says why it does not apply; of all of them, most never do.
  const measurements = explicit ? all : all.filter(({ lacks }) => lacks === undefined);
  const subjects = new Set(measurements.map(({ of }) => of));
  const rows = measurements.map(({ metric, of, assessed, judged }) => {
    const value =
      'expanded' in assessed
        ? measuredText(metric, assessed)
        : `not measurable: ${explainNotMeasurable(assessed.outcome)}`;
    const ending = judged ? `; ${judgedText(judged)}` : '';
    const cells = [metric.id, metric.title, ...(subjects.size > 1 ? [of] : []), value + ending];
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
  return [table, ...doubtsOf(measurements), explicit ? '' : besideLine(all, width)].join('');
}

/** `allowed at most 1 %: ● pass, inside the limits by more than the uncertainty` */
function judgedText({ limits, verdict, reason }: NonNullable<Measurement['judged']>): string {
  const why = reason === undefined ? '' : `, ${reason}`;
  return `allowed ${limits.text}: ${verdictMark[verdict]} ${verdict}${why}`;
}

const lacking: Readonly<Record<NonNullable<Measurement['lacks']>, string>> = {
  record: 'read what it does not hold',
  fade: 'need the fade that was commanded (--from, --to, --over, --at)',
  reference: 'need a window of full light (--reference)',
  parameter: 'need a parameter (--set)',
};

/** Metrics that do not apply, in one sentence with their number; each, asked for by name, says more. */
function besideLine(all: readonly Measurement[], width: number): string {
  const beside = (lacks: string): number =>
    new Set(all.filter((each) => each.lacks === lacks).map(({ metric }) => metric.id)).size;
  const parts = Object.entries(lacking)
    .map(([lacks, words]) => ({ count: beside(lacks), words }))
    .filter(({ count }) => count > 0);
  const count = parts.reduce((sum, part) => sum + part.count, 0);
  if (count === 0) return '';
  const list = parts.map((part) => `${part.count} ${part.words}`).join(', ');
  const text = `${counted(count, 'metric')} not applicable to this record: ${list}. Name one with --metric to see why.`;
  return `\n${wrapped(text, Math.max(30, width), 0)}\n`;
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
  const { signals, scope, rate, duration, bandwidth, fade, reference, model, probe } = need;
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
    probe ? 'a run that captures a probe of the firmware' : '',
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
