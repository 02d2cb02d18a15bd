import { chartPicture, type Picture } from '../pictures/chart-picture.ts';
import { firstView, type Span, xRange } from '../pictures/chart-view.ts';
import type { DrawnChart } from '../pictures/drawn-chart.ts';
import { limited, moved, zoomed } from './chart-zoom.ts';
import { toNodes } from './nodes.ts';

/** The drawn part of a figure, and which part of the record it shows. */
export class ChartPlot {
  static #count = 0;
  readonly #id = `figure-${ChartPlot.#count++}`;
  readonly chart: DrawnChart;
  readonly element: HTMLElement;
  readonly #whole: Span;
  #view: Span;
  #picture: Picture;

  constructor(chart: DrawnChart, element: HTMLElement) {
    this.chart = chart;
    this.element = element;
    this.#whole = xRange(chart);
    this.#view = firstView(chart);
    this.#picture = this.#draw(); // at once, for paper; the observer draws again when the true width is known
    let drawnWidth = 0;
    new ResizeObserver(() => {
      if (element.clientWidth === drawnWidth) return;
      drawnWidth = element.clientWidth;
      this.#picture = this.#draw();
    }).observe(element);
  }

  get picture(): Picture {
    return this.#picture;
  }

  show(view: Span): void {
    this.#view = limited(view, this.#whole);
    this.#picture = this.#draw();
  }

  showAll(): void {
    this.show(this.#whole);
  }

  zoom(factor: number, about = 0.5): void {
    this.show(zoomed(this.#view, factor, about, this.#whole));
  }

  move(by: number): void {
    this.show(moved(this.#view, by));
  }

  /** Place of a pointer across the plot, px. */
  placeOf(event: MouseEvent): number {
    return event.clientX - this.element.getBoundingClientRect().left;
  }

  #draw(): Picture {
    const width = Math.round(this.element.clientWidth) || 800;
    const height =
      this.chart.kind === 'path'
        ? Math.min(width * 0.75, 440)
        : Math.max(230, Math.min(320, width * 0.42));
    const picture = chartPicture(this.chart, { id: this.#id, width, height, view: this.#view });
    this.element.replaceChildren(toNodes(picture.markup));
    return picture;
  }
}
