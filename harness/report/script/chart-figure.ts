import { type Html, html } from '../html/html.ts';
import type { DrawnChart } from '../pictures/drawn-chart.ts';
import { legend } from '../pictures/legend.ts';
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
      <div class="figure-head"><h4>${title}</h4>${isZoomable && zoomButtons}</div>
      <div class="plot"${plot}></div>
      <p class="reading" aria-live="off"></p>
      <figcaption>${legend(chart)}${captions.map((caption) => html`<p>${caption}</p>`)}</figcaption>
    </figure>`;
}

const zoomButtons = html`
  <div class="zoom" role="group" aria-label="Zoom">
    <button type="button" data-zoom="in" aria-label="Zoom in">+</button>
    <button type="button" data-zoom="out" aria-label="Zoom out">−</button>
    <button type="button" data-zoom="all" aria-label="Show all of the record">all</button>
  </div>`;
