import { element } from '../html/markup.ts';
import {
  chartPicture,
  firstView,
  type Picture,
  penCount,
  type Span,
  xRange,
} from '../pictures/chart-picture.ts';
import type { DrawnChart, DrawnLine } from '../pictures/drawn-chart.ts';
import { autoText } from '../words/value-text.ts';
import { toNode } from './to-node.ts';

/** Zooming closer than this many times shows nothing new. */
const closest = 400;

/**
 * A chart on the page: drag to zoom, wheel with Ctrl, keys when focused (+ and - zoom, arrows move, 0 shows all), and a
 * line that reads the figures under the pointer. It redraws when its width changes, so that its words keep their size.
 */
export function chartFigure(chart: DrawnChart, captions: readonly string[] = []): HTMLElement {
  const whole = xRange(chart);
  const id = `figure-${figureCount++}`;
  let view = firstView(chart);
  let picture: Picture | undefined;
  const zoomable = chart.kind !== 'path';
  const figure = toNode(
    element(
      'figure',
      { class: `figure ${chart.kind}` },
      element(
        'div',
        { class: 'figure-head' },
        element('h5', {}, chart.title),
        zoomable
          ? element(
              'div',
              { class: 'zoom', role: 'group', 'aria-label': 'Zoom' },
              zoomButton('in', '+', 'Zoom in'),
              zoomButton('out', '−', 'Zoom out'),
              zoomButton('all', 'all', 'Show the whole record'),
            )
          : null,
      ),
      element('div', {
        class: 'plot',
        tabindex: zoomable ? 0 : undefined,
        role: zoomable ? 'group' : undefined,
        'aria-label': zoomable
          ? `${chart.title}. Plus and minus zoom, arrows move, 0 shows all.`
          : undefined,
      }),
      element('p', { class: 'reading', 'aria-live': 'off' }),
      element(
        'figcaption',
        {},
        legend(chart),
        captions.map((caption) => element('p', {}, caption)),
      ),
    ),
  ) as HTMLElement;
  const plot = figure.querySelector('.plot') as HTMLElement;
  const reading = figure.querySelector('.reading') as HTMLElement;

  const draw = (): void => {
    const width = Math.round(plot.clientWidth) || 800;
    const height =
      chart.kind === 'path'
        ? Math.min(width * 0.75, 440)
        : Math.max(230, Math.min(320, width * 0.42));
    picture = chartPicture(chart, { id, width, height, view });
    plot.replaceChildren(toNode(picture.markup));
  };
  const show = (next: Span): void => {
    view = limited(next, whole);
    draw();
  };
  const zoom = (factor: number, about = 0.5): void => show(zoomed(view, factor, about, whole));

  figure.addEventListener('click', (event) => {
    const how = (event.target as Element).closest('[data-zoom]')?.getAttribute('data-zoom');
    if (how === 'in') zoom(0.5);
    if (how === 'out') zoom(2);
    if (how === 'all') show(whole);
  });
  if (zoomable) {
    listenToKeys(plot, { zoom, move: (by) => show(moved(view, by)), all: () => show(whole) });
    listenToDrag(plot, () => picture, show);
    plot.addEventListener('dblclick', () => show(whole));
    plot.addEventListener(
      'wheel',
      (event) => {
        if (!event.ctrlKey) return; // the plain wheel belongs to the page
        event.preventDefault();
        const { left, right } = picture!.plot;
        zoom(event.deltaY < 0 ? 0.7 : 1.4, (event.offsetX - left) / (right - left));
      },
      { passive: false },
    );
  }
  plot.addEventListener('pointermove', (event) => {
    if (picture) reading.textContent = readingAt(chart, picture, event);
  });
  plot.addEventListener('pointerleave', () => {
    reading.textContent = '';
  });
  let drawnWidth = 0;
  new ResizeObserver(() => {
    if (plot.clientWidth === drawnWidth) return;
    drawnWidth = plot.clientWidth;
    draw();
  }).observe(plot);
  draw(); // at once, for paper; the observer draws again when the true width is known
  return figure;
}

let figureCount = 0;

function zoomButton(how: string, sign: string, label: string) {
  return element('button', { type: 'button', 'data-zoom': how, 'aria-label': label }, sign);
}

function legend({ lines }: DrawnChart) {
  let measured = 0;
  const seen = new Set<string>();
  const items = lines.flatMap(({ name, role, x }) => {
    const pen = role === 'measured' ? `measured pen-${measured++ % penCount}` : role;
    const word =
      role === 'corridor'
        ? 'allowed corridor'
        : role === 'measured'
          ? name
          : name.includes(role)
            ? name
            : `${name} (${role})`;
    if (seen.has(word)) return [];
    seen.add(word);
    const d =
      role === 'corridor' ? 'M0 2h22v8h-22z' : x.length === 1 ? 'M5 6h12m-6 -6v12' : 'M0 6h22';
    return [
      element(
        'li',
        {},
        element(
          'svg',
          { viewBox: '0 0 22 12', 'aria-hidden': 'true' },
          element('path', { class: pen, d }),
        ),
        word,
      ),
    ];
  });
  return element('ul', { class: 'pens' }, items);
}

/** The part of `view` that `factor` leaves, about a place 0..1 in it. */
function zoomed(view: Span, factor: number, about: number, whole: Span): Span {
  const length = Math.max((whole.to - whole.from) / closest, (view.to - view.from) * factor);
  const centre = view.from + (view.to - view.from) * about;
  return { from: centre - length * about, to: centre + length * (1 - about) };
}

function moved({ from, to }: Span, by: number): Span {
  const shift = (to - from) * by;
  return { from: from + shift, to: to + shift };
}

/** A view inside the whole record, no longer than it. */
function limited({ from, to }: Span, whole: Span): Span {
  const length = Math.min(to - from, whole.to - whole.from);
  const start = Math.min(Math.max(from, whole.from), whole.to - length);
  return { from: start, to: start + length };
}

interface KeyActions {
  zoom(factor: number): void;
  move(by: number): void;
  all(): void;
}

function listenToKeys(plot: HTMLElement, { zoom, move, all }: KeyActions): void {
  const actions: Record<string, () => void> = {
    '+': () => zoom(0.5),
    '=': () => zoom(0.5),
    '-': () => zoom(2),
    ArrowLeft: () => move(-0.25),
    ArrowRight: () => move(0.25),
    '0': all,
  };
  plot.addEventListener('keydown', (event) => {
    const action = actions[event.key];
    if (!action || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    event.stopPropagation();
    action();
  });
}

function listenToDrag(
  plot: HTMLElement,
  picture: () => Picture | undefined,
  show: (view: Span) => void,
): void {
  let start: number | null = null;
  const place = (event: PointerEvent): number => {
    const { left, right } = picture()!.plot;
    return Math.min(right, Math.max(left, event.clientX - plot.getBoundingClientRect().left));
  };
  plot.addEventListener('pointerdown', (event) => {
    if (event.button !== 0 || event.pointerType === 'touch') return;
    start = place(event);
    plot.setPointerCapture(event.pointerId);
  });
  plot.addEventListener('pointermove', (event) => {
    if (start === null) return;
    const { top, bottom } = picture()!.plot;
    const [from, to] = [Math.min(start, place(event)), Math.max(start, place(event))];
    const area = element('path', {
      class: 'choice',
      d: `M${from} ${top}H${to}V${bottom}H${from}z`,
    });
    plot.querySelector('.choice')?.remove();
    plot.querySelector('svg')?.append(toNode(area, true));
  });
  const finish = (event: PointerEvent): void => {
    if (start === null) return;
    const [from, to] = [Math.min(start, place(event)), Math.max(start, place(event))];
    start = null;
    plot.querySelector('.choice')?.remove();
    const { x } = picture()!;
    if (to - from > 6) show({ from: x.figure(from), to: x.figure(to) });
  };
  plot.addEventListener('pointerup', finish);
  plot.addEventListener('pointercancel', () => {
    start = null;
    plot.querySelector('.choice')?.remove();
  });
}

function readingAt(chart: DrawnChart, { x, plot }: Picture, event: PointerEvent): string {
  const box = (event.currentTarget as HTMLElement).getBoundingClientRect();
  const place = event.clientX - box.left;
  if (place < plot.left || place > plot.right) return '';
  const at = x.figure(place);
  const parts = chart.lines
    .filter((line) => line.x.length > 1 && chart.kind !== 'path')
    .slice(0, 8)
    .map((line) => lineReading(line, at, chart.y.unit));
  return [`${chart.x.label} ${autoText(at, chart.x.unit, 5)}`, ...parts.filter(Boolean)].join(
    '   ',
  );
}

function lineReading(line: DrawnLine, at: number, unit: string): string {
  const k = nearest(line.x, at);
  if (line.role === 'corridor' || at < line.x[0]! || at > line.x[line.x.length - 1]!) return '';
  const high = autoText(line.y[k]!, unit);
  const low = line.low?.[k];
  return `${line.name} ${low === undefined || low === line.y[k] ? high : `${autoText(low, unit)} to ${high}`}`;
}

/** Index of the point nearest to a figure in a rising list. */
function nearest(values: readonly number[], at: number): number {
  let [low, high] = [0, values.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (values[middle]! <= at) low = middle;
    else high = middle;
  }
  return at - values[low]! > values[high]! - at ? high : low;
}
