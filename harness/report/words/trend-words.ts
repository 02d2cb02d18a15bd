import { plainLine } from '../../files/plain-text.ts';
import { type ChartSignal, fewestPoints } from '../../record/control-chart.ts';
import { fewestForDrift } from '../../record/drift.ts';
import type { FlakyClaim, JudgedTrend, TrendPoint } from '../../record/trend.ts';
import { limitsText } from './limits-text.ts';
import { leftWords } from './margin-words.ts';
import { counted } from './prose.ts';
import { figureText, uncertainText } from './value-text.ts';
import { verdictMark } from './verdict-words.ts';

/** The newest value, its tolerance and its build. */
export function lastText(trend: JudgedTrend): string {
  const { series } = trend;
  const last = series.points.at(-1);
  if (!last) return 'no run';
  return `${nowText(trend)}, allowed ${limitsText(last, series)}, build ${last.build}`;
}

/** `+38 %, worse`: how far a series drifted, as a share of its tolerance; why that is not known otherwise. */
export function driftText({ drift, measured }: JudgedTrend): string {
  if (!drift) return measured.length === 0 ? 'no value' : 'too few runs';
  const { share, course, change } = drift;
  if (share === null) return change === 0 ? 'none' : course === null ? 'no limit' : course;
  const told = signedShare(share, change);
  const turn = course === 'worse' || course === 'better' ? `, ${course}` : '';
  const isWithin = drift.isBeyondUncertainty === false && share > 0;
  return isWithin ? `${told} (within U)` : `${told}${turn}`;
}

function signedShare(share: number, change: number): string {
  if (share === 0) return '0 %';
  if (share < 0.01) return '< 1 %';
  const sign = change > 0 ? '+' : '−';
  return share < 10 ? `${sign}${Math.round(share * 100)} %` : `${sign}${Math.round(share)} ×`;
}

/** How a drift is found, for those who have to trust the order. */
export const driftMethod = `Drift: from the first run to the last, as a share of the tolerance (of half the way between its limits, or of the size of its only limit). It is the Theil-Sen slope, the median of the slopes between all pairs of runs, times the number of steps; from ${fewestForDrift} values on. Worse: less of the tolerance is left. Within U: no more than the uncertainty of the difference.`;

/** The value of the newest run with its verdict in mark and word. */
export function nowText({ series }: JudgedTrend): string {
  const last = series.points.at(-1);
  if (!last) return 'no run';
  const { value, expanded, verdict } = last;
  const { unit, shown } = series;
  const figure = value === null ? 'not measurable' : uncertainText(value, expanded, unit, shown);
  return `${verdictMark[verdict]} ${verdict} ${figure}`;
}

/** `30 % left`, `90 % beyond`; nothing where the newest value has no share of a tolerance. */
export function leftText({ series }: JudgedTrend): string {
  const last = series.points.at(-1);
  return last ? leftWords(last) : '';
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
