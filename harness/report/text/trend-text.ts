import type { ChartSignal } from '../../record/control-chart.ts';
import { fewestPoints } from '../../record/control-chart.ts';
import type { FlakyClaim } from '../../record/flaky-claim.ts';
import type { JudgedTrend } from '../../record/judge-trend.ts';
import { formatMeasured } from '../../units/format-quantity.ts';
import { plainLine } from '../words/plain-text.ts';
import { figureText, shownUnit } from '../words/value-text.ts';
import { verdictMark } from '../words/verdict-words.ts';
import { sparkline } from './sparkline.ts';
import { counted } from './summary.ts';

/** Trends for a terminal: per series a line of blocks, the youngest value, its tolerance, and what the chart says. */
export function renderTrendText(
  trends: readonly JudgedTrend[],
  { colour, columns }: { readonly colour: boolean; readonly columns: number },
): string {
  const bold = (text: string): string => (colour ? `\u001b[1m${text}\u001b[22m` : text);
  const width = Math.max(20, Math.min(columns - 4, 100));
  return trends
    .map((trend) => trendLines(trend, width, bold).join('\n'))
    .join('\n\n')
    .concat('\n');
}

function trendLines(
  trend: JudgedTrend,
  width: number,
  bold: (text: string) => string,
): readonly string[] {
  const { series } = trend;
  const points = series.points.slice(-width);
  const first = points[0]!;
  const last = points.at(-1)!;
  const point = [series.condition, series.repeat > 0 ? `repeat ${series.repeat + 1}` : '']
    .filter(Boolean)
    .join(', ');
  const place = `${series.spec}${point ? ` [${point}]` : ''} ${series.of}`;
  const counted = series.points.length === 1 ? '1 run' : `${series.points.length} runs`;
  const days = `${first.started.slice(0, 10)} … ${last.started.slice(0, 10)}`;
  return [
    bold(plainLine(`${place}, ${series.title}, ${series.lamp}`)),
    `  ${sparkline(points.map(({ value }) => value))}  ${days}, ${counted}`,
    plainLine(`  last ${lastText(trend)}`).replace(/^/, '  '),
    ...chartLines(trend).map((line) => `  ${line}`),
  ];
}

/** The youngest value, its tolerance and its build. */
export function lastText({ series }: JudgedTrend): string {
  const { value, expanded, verdict, build, lower, upper } = series.points.at(-1)!;
  const { unit } = series;
  const shown = shownUnit(unit, series.shown);
  const figure =
    value === null ? 'not measurable' : formatMeasured(value, expanded ?? 0, unit, shown);
  const low = lower === null ? '' : figureText(lower, unit, shown);
  const high = upper === null ? '' : figureText(upper, unit, shown);
  const allowed =
    low && high
      ? `${low} to ${high}`
      : low
        ? `at least ${low}`
        : high
          ? `at most ${high}`
          : 'anything';
  return `${verdictMark[verdict]} ${figure}, allowed ${allowed}, build ${build}`;
}

/** What the control chart says: its limits, the rules that fired, and where a drift is heading. */
export function chartLines(trend: JudgedTrend): string[] {
  const { chart, measured, series, runsToLimit } = trend;
  if (!chart) return [`${measured.length} values; a control chart needs ${fewestPoints}`];
  const shown = shownUnit(series.unit, series.shown);
  const figure = (value: number): string => figureText(value, series.unit, shown);
  const usual = `usual ${figure(chart.lower)} to ${figure(chart.upper)} (mean ± 3 sigma of the first ${chart.baseline})`;
  const signals = chart.signals.map((signal) => signalText(signal, trend));
  if (signals.length === 0) return [usual];
  const ahead =
    runsToLimit === null || runsToLimit === 0
      ? []
      : [`at this slope it meets its limit in about ${runsToLimit} more runs`];
  return [usual, ...signals, ...ahead];
}

export const ruleText: Readonly<Record<ChartSignal['rule'], string>> = {
  'beyond limits': 'left its usual range',
  'one side': 'eight in a row on one side of the mean',
  'steady climb': 'six in a row climbing',
  'steady fall': 'six in a row falling',
};

function signalText({ rule, at }: ChartSignal, { measured }: JudgedTrend): string {
  const { started, build } = measured[at]!;
  return plainLine(`▲ ${ruleText[rule]}, first at ${started.slice(0, 10)}, build ${build}`);
}

/** Claims that come out both ways on one build. */
export function renderFlakyText(claims: readonly FlakyClaim[]): string {
  if (claims.length === 0) return 'No claim came out both ways on one build, lamp and rig.\n';
  const lines = claims.map(({ spec, lamp, build, rig, runs, passed, failed, turns }) =>
    plainLine(
      `${spec}: ${passed} passed, ${failed} failed in ${runs} runs of ${lamp} ${build} on ${rig}; the verdict turned ${counted(turns, 'time')}`,
    ),
  );
  return `${lines.join('\n')}\n`;
}
