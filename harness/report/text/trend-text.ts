import { extent } from 'd3-array';
import { scaleQuantize } from 'd3-scale';
import { plainLine } from '../../files/plain-text.ts';
import type { FlakyClaim, JudgedTrend } from '../../record/trend.ts';
import { groupTrends, largestDriftFirst, type TrendGroup } from '../../record/trend-groups.ts';
import { findingPlace } from '../words/compare-words.ts';
import { counted } from '../words/prose.ts';
import {
  chartLines,
  dayOf,
  driftMethod,
  driftText,
  flakyText,
  lastText,
  leftText,
  nowText,
} from '../words/trend-words.ts';
import { type Paint, painter } from './paint.ts';
import { wrap } from './wrap.ts';

interface Look {
  readonly colour: boolean;
  readonly columns: number;
  /** How many series are told in full. */
  readonly top: number;
}

/**
 * Trends for a terminal, the largest drift first: a line a claim (a metric, where there are several), then the `top` series of all with
 * their tolerance and what the chart says of them.
 */
export function renderTrendText(
  trends: readonly JudgedTrend[],
  { colour, columns, top }: Look,
): string {
  const paint = painter(colour);
  const width = Math.max(60, Math.min(columns, 120));
  const by = new Set(trends.map(({ series }) => series.metric)).size > 1 ? 'metric' : 'claim';
  const groups = groupTrends(trends, by);
  const ranked = largestDriftFirst(trends);
  const shown = ranked.slice(0, top);
  const left = ranked.length - shown.length;
  const parts = [
    overviewLines(groups, by, { width, paint }),
    wrap(driftMethod, width, ''),
    ...shown.map((trend) => trendLines(trend, width - 4, paint)),
    ...(left > 0 ? [[`${left} more series drift less; --top ${ranked.length} tells of all.`]] : []),
  ];
  return `${parts.map((part) => part.join('\n')).join('\n\n')}\n`;
}

function overviewLines(
  groups: readonly TrendGroup[],
  by: 'claim' | 'metric',
  { width, paint }: { readonly width: number; readonly paint: Paint },
): string[] {
  const rows = groups.map(({ name, lamp, leading, trends }) => [
    driftText(leading),
    leftText(leading),
    nowText(leading),
    sparkline(leading.series.points.slice(-sparkWidth).map(({ value }) => value)),
    `${name}, ${lamp} (${trends.length})`,
  ]);
  const table = columnsOf([
    ['drift', 'margin', 'now', 'runs', `${by}, lamp (series)`],
    ...rows.map((row) => row.map(plainLine)),
  ]);
  return table.map((line, k) => {
    const fitting = [...line].length > width ? `${[...line].slice(0, width - 1).join('')}…` : line;
    return k === 0 ? paint('bold', fitting) : fitting;
  });
}

const sparkWidth = 12;

function columnsOf(rows: readonly (readonly string[])[]): string[] {
  const widths = (rows[0] ?? []).map((_, c) =>
    Math.max(...rows.map((row) => [...(row[c] ?? '')].length)),
  );
  return rows.map((row) =>
    row
      .map((cell, c) => cell + ' '.repeat((widths[c] ?? 0) - [...cell].length))
      .join('  ')
      .trimEnd(),
  );
}

function trendLines(trend: JudgedTrend, width: number, paint: Paint): readonly string[] {
  const { lamp, points } = trend.series;
  const shown = points.slice(-width + 40);
  const days = `${dayOf(shown[0])} … ${dayOf(shown.at(-1))}`;
  const left = leftText(trend);
  return [
    paint('bold', plainLine(`${findingPlace(trend.series)}; ${lamp}`)),
    `  ${sparkline(shown.map(({ value }) => value))}  ${days}, ${counted(points.length, 'run')}`,
    `  ${plainLine(`last ${lastText(trend)}`)}`,
    `  drift ${driftText(trend)}${left === '' ? '' : `; ${left}`}`,
    ...chartLines(trend).map((line) => `  ${line}`),
  ];
}

/** Values as a line of blocks, lowest to highest; equal values lie in the middle, missing ones are a dot. */
function sparkline(values: readonly (number | null)[]): string {
  const [low = 0, high = 0] = extent(values.filter((value) => value !== null));
  const block = low === high ? () => '▄' : scaleQuantize([low, high], [...'▁▂▃▄▅▆▇█']);
  return values.map((value) => (value === null ? '·' : block(value))).join('');
}

/** Claims that both passed and failed on one build. */
export function renderFlakyText(claims: readonly FlakyClaim[]): string {
  if (claims.length === 0) return 'No claim both passed and failed on one build, lamp and rig.\n';
  return claims.map((claim) => `${plainLine(`${claim.spec}: ${flakyText(claim)}`)}\n`).join('');
}
