import { extent } from 'd3-array';
import { scaleQuantize } from 'd3-scale';
import { plainLine } from '../../files/plain-text.ts';
import type { FlakyClaim, JudgedTrend } from '../../record/trend.ts';
import { findingPlace } from '../words/compare-words.ts';
import { counted } from '../words/prose.ts';
import { chartLines, dayOf, flakyText, lastText } from '../words/trend-words.ts';
import { type Paint, painter } from './paint.ts';

/** Trends for a terminal: per series a line of blocks, the newest value, its tolerance, and what the chart says. */
export function renderTrendText(
  trends: readonly JudgedTrend[],
  { colour, columns }: { readonly colour: boolean; readonly columns: number },
): string {
  const width = Math.max(20, Math.min(columns - 4, 100));
  const parts = trends.map((trend) => trendLines(trend, width, painter(colour)).join('\n'));
  return `${parts.join('\n\n')}\n`;
}

function trendLines(trend: JudgedTrend, width: number, paint: Paint): readonly string[] {
  const { lamp, points } = trend.series;
  const shown = points.slice(-width);
  const days = `${dayOf(shown[0])} … ${dayOf(shown.at(-1))}`;
  return [
    paint('bold', plainLine(`${findingPlace(trend.series)}; ${lamp}`)),
    `  ${sparkline(shown.map(({ value }) => value))}  ${days}, ${counted(points.length, 'run')}`,
    `  ${plainLine(`last ${lastText(trend)}`)}`,
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
