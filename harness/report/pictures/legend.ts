import { type Html, html } from '../html/html.ts';
import { pensOf } from './chart-lines.ts';
import type { DrawnChart, DrawnLine } from './drawn-chart.ts';
import { spectrogramLegend } from './spectrogram.ts';

/** Each pen with its name; lines of one name share an entry. */
export function legend(chart: Pick<DrawnChart, 'kind' | 'lines'>): Html {
  if (chart.kind === 'spectrogram') return spectrogramLegend();
  const pens = pensOf(chart);
  const items = new Map<string, Html>();
  for (const [k, line] of chart.lines.entries()) {
    const name = legendName(line);
    if (!items.has(name)) items.set(name, legendItem(name, line, pens[k] ?? line.role));
  }
  return html`<ul class="pens">${[...items.values()]}</ul>`;
}

function legendName({ name, role }: DrawnLine): string {
  if (role === 'corridor') return name.startsWith('allowed:') ? name : 'allowed corridor';
  // What a fit is, its name says: the mean of the window, the ellipse of a colour.
  const isPlain = role === 'measured' || role === 'fit' || name.includes(role);
  return isPlain ? name : `${name} (${role})`;
}

function legendItem(name: string, { role, x }: DrawnLine, pen: string): Html {
  const line = x.length === 1 ? 'M5 6h12m-6 -6v12' : 'M0 6h22';
  const d = role === 'corridor' ? 'M0 2h22v8h-22z' : line;
  return html`
    <li>
      <svg viewBox="0 0 22 12" aria-hidden="true"><path class="${pen}" d="${d}"></path></svg>
      ${name}
    </li>`;
}
