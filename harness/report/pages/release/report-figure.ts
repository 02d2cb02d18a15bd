import { type Html, html } from '../../html/html.ts';
import { chartPicture } from '../../pictures/chart-picture.ts';
import type { DrawnChart } from '../../pictures/drawn-chart.ts';
import { legend } from '../../pictures/legend.ts';

/** A chart on paper, with the names of its lines. */
export function reportFigure(chart: DrawnChart, id: string): Html {
  const { markup } = chartPicture(chart, { id, width: 660, height: 230 });
  return html`
    <figure class="figure">
      <h5>${chart.title}</h5>
      ${markup}
      <figcaption>${legend(chart)}</figcaption>
    </figure>`;
}
