import { type Html, html } from '../html/html.ts';
import type { AxisRange, Scale } from './axis.ts';
import type { DrawnChart, DrawnLine } from './drawn-chart.ts';
import { tenth } from './frame.ts';

/** Less than this share of what may be seen is left blank; the shade goes by the logarithm from there on. */
const faintest = 0.01;

/** The frequencies between which the rows of a spectrogram lie, Hz; nothing for other charts. */
function rowEdges({ kind, lines }: DrawnChart): readonly number[] {
  return (kind === 'spectrogram' && lines.find(({ role }) => role === 'ideal')?.y) || [];
}

/** From the lowest row to the highest. */
export function frequencyRange(chart: DrawnChart): AxisRange {
  const edges = rowEdges(chart);
  return { from: edges[0] ?? 1, to: edges.at(-1) ?? 10, log: true };
}

/** A cell for each row and instant; what may be seen has a colour of its own. */
export function spectrogramCells(chart: DrawnChart, x: Scale, y: Scale): Html[] {
  const edges = rowEdges(chart);
  const rows = chart.lines.filter(({ role }) => role === 'measured');
  return rows.flatMap((line, k) => {
    const [low, high] = [edges[k], edges[k + 1]];
    return low === undefined || high === undefined ? [] : rowOf(line, x, y(high), y(low));
  });
}

function rowOf(line: DrawnLine, x: Scale, top: number, bottom: number): Html[] {
  const height = tenth(bottom - top + 0.4);
  return line.y.flatMap((share, k) => {
    if (!(share >= faintest)) return [];
    const [left, right] = [x(sideOf(line.x, k)), x(sideOf(line.x, k + 1))];
    const box = html`x="${tenth(left)}" y="${tenth(top)}" width="${tenth(right - left + 0.4)}" height="${height}"`;
    if (share >= 1) return [html`<rect class="cell seen" ${box}></rect>`];
    const shade = Math.round(80 * (1 - Math.log10(share) / Math.log10(faintest))) / 100;
    return [html`<rect class="cell" fill-opacity="${shade}" ${box}></rect>`];
  });
}

/** Half way to the neighbour; as far beyond the ends. */
function sideOf(x: readonly number[], k: number): number {
  const [before, after] = [x[k - 1], x[k]];
  if (before !== undefined && after !== undefined) return (before + after) / 2;
  const near = after ?? before ?? 0;
  const next = after === undefined ? x[k - 2] : x[k + 1];
  return near + (near - (next ?? near)) / 2;
}

/** What the shades say. */
export function spectrogramLegend(): Html {
  const item = (rect: Html, words: string) =>
    html`<li><svg viewBox="0 0 22 12" aria-hidden="true">${rect}</svg>${words}</li>`;
  return html`
    <ul class="pens">
      ${item(html`<rect class="cell seen" width="22" height="12"></rect>`, 'may be seen (IEEE 1789 low risk, from memory)')}
      ${item(html`<rect class="cell" fill-opacity="0.4" width="22" height="12"></rect>`, 'a tenth of that; fainter: less, down to a hundredth')}
      <li>frames of 0.25 s at most, Hann window, half overlapping</li>
    </ul>`;
}
