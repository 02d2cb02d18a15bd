import { type Html, html } from '../html/html.ts';
import { pensOf } from '../pictures/chart-lines.ts';
import type { DrawnChart, DrawnLine } from '../pictures/drawn-chart.ts';
import {
  listenToButtons,
  listenToDrag,
  listenToKeys,
  listenToWheel,
  readPointer,
} from './chart-input.ts';
import { ChartPlot } from './chart-plot.ts';
import { part, toElement } from './nodes.ts';

/**
 * A chart on the page: drag to zoom, wheel with Ctrl, keys when focused (+ and - zoom, arrows move, 0 shows all), and a
 * line that reads the figures under the pointer. It redraws when its width changes, so that its words keep their size.
 */
export function chartFigure(chart: DrawnChart, captions: readonly string[] = []): HTMLElement {
  const isZoomable = chart.kind !== 'path';
  const element = toElement(figureMarkup(chart, captions, isZoomable));
  const plot = new ChartPlot(chart, part(element, '.plot'));
  readPointer(plot, part(element, '.reading'));
  if (isZoomable) {
    listenToButtons(plot, part(element, '.zoom'));
    listenToKeys(plot);
    listenToDrag(plot);
    listenToWheel(plot);
  }
  return element;
}

function figureMarkup(chart: DrawnChart, captions: readonly string[], isZoomable: boolean): Html {
  const { kind, title } = chart;
  const help = `${title}. Plus and minus zoom, arrows move, 0 shows all.`;
  const plot = isZoomable && html` tabindex="0" role="group" aria-label="${help}"`;
  return html`
    <figure class="figure ${kind}">
      <div class="figure-head"><h5>${title}</h5>${isZoomable && zoomButtons}</div>
      <div class="plot"${plot}></div>
      <p class="reading" aria-live="off"></p>
      <figcaption>${legend(chart)}${captions.map((caption) => html`<p>${caption}</p>`)}</figcaption>
    </figure>`;
}

const zoomButtons = html`
  <div class="zoom" role="group" aria-label="Zoom">
    <button type="button" data-zoom="in" aria-label="Zoom in">+</button>
    <button type="button" data-zoom="out" aria-label="Zoom out">−</button>
    <button type="button" data-zoom="all" aria-label="Show the whole record">all</button>
  </div>`;

/** Each pen with its name; lines of one name share an entry. */
function legend(chart: DrawnChart): Html {
  const pens = pensOf(chart);
  const items = new Map<string, Html>();
  for (const [k, line] of chart.lines.entries()) {
    const name = legendName(line);
    if (!items.has(name)) items.set(name, legendItem(name, line, pens[k] ?? line.role));
  }
  return html`<ul class="pens">${[...items.values()]}</ul>`;
}

function legendName({ name, role }: DrawnLine): string {
  if (role === 'corridor') return 'allowed corridor';
  return role === 'measured' || name.includes(role) ? name : `${name} (${role})`;
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
