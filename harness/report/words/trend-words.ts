import { plainLine } from '../../files/plain-text.ts';
import { type ChartSignal, fewestPoints } from '../../record/control-chart.ts';
import type { FlakyClaim, JudgedTrend, TrendPoint } from '../../record/trend.ts';
import { limitsText } from './limits-text.ts';
import { counted } from './prose.ts';
import { figureText, uncertainText } from './value-text.ts';
import { verdictMark } from './verdict-words.ts';

/** The newest value, its tolerance and its build. */
export function lastText({ series }: JudgedTrend): string {
  const last = series.points.at(-1);
  if (!last) return 'no run';
  const { value, expanded, verdict, build } = last;
  const { unit, shown } = series;
  const figure = value === null ? 'not measurable' : uncertainText(value, expanded, unit, shown);
  return `${verdictMark[verdict]} ${figure}, allowed ${limitsText(last, series)}, build ${build}`;
}

/** What the control chart says: its limits, the rules that fired, and where a drift is heading. */
export function chartLines(trend: JudgedTrend): string[] {
  const { chart, measured, series, runsToLimit } = trend;
  if (!chart) return [`${measured.length} values; a control chart needs ${fewestPoints}`];
  const figure = (value: number): string => figureText(value, series.unit, series.shown);
  const usual = `usual range ${figure(chart.lower)} to ${figure(chart.upper)} (mean ± 3 sigma of the first ${chart.baseline} runs)`;
  const signals = chart.signals.map((signal) => signalText(signal, measured));
  const isHeading = signals.length > 0 && runsToLimit !== null && runsToLimit > 0;
  const ahead = `at this slope it reaches its limit in about ${runsToLimit} more runs`;
  return [usual, ...signals, ...(isHeading ? [ahead] : [])];
}

export const ruleText: Readonly<Record<ChartSignal['rule'], string>> = {
  'beyond limits': 'left its usual range',
  'one side': 'eight in a row on one side of the mean',
  'steady climb': 'six in a row rising',
  'steady fall': 'six in a row falling',
};

function signalText({ rule, at }: ChartSignal, measured: JudgedTrend['measured']): string {
  const point = measured[at];
  const where = point ? `, first at ${dayOf(point)}, build ${point.build}` : '';
  return plainLine(`▲ ${ruleText[rule]}${where}`);
}

/** How often a claim came out either way, after its name. */
export function flakyText({ lamp, build, rig, runs, passed, failed, turns }: FlakyClaim): string {
  return `${passed} passed, ${failed} failed in ${runs} runs of ${lamp} ${build} on ${rig}; the verdict changed ${counted(turns, 'time')}`;
}

/** `2026-11-24` */
export function dayOf(point: TrendPoint | undefined): string {
  return point?.started.slice(0, 10) ?? '';
}
