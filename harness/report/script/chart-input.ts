import { bisectCenter } from 'd3-array';
import { html } from '../html/html.ts';
import type { DrawnChart, DrawnLine } from '../pictures/drawn-chart.ts';
import { autoText, figureText } from '../words/value-text.ts';
import type { ChartPlot } from './chart-plot.ts';

export function listenToButtons(plot: ChartPlot, buttons: HTMLElement): void {
  buttons.addEventListener('click', ({ target }) => {
    const how =
      target instanceof Element && target.closest('[data-zoom]')?.getAttribute('data-zoom');
    if (how === 'in') plot.zoom(0.5);
    if (how === 'out') plot.zoom(2);
    if (how === 'all') plot.showAll();
  });
}

export function listenToKeys(plot: ChartPlot): void {
  const actions: Record<string, () => void> = {
    '+': () => plot.zoom(0.5),
    '=': () => plot.zoom(0.5),
    '-': () => plot.zoom(2),
    ArrowLeft: () => plot.move(-0.25),
    ArrowRight: () => plot.move(0.25),
    '0': () => plot.showAll(),
  };
  plot.element.addEventListener('keydown', (event) => {
    const action = actions[event.key];
    if (!action || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    event.stopPropagation();
    action();
  });
}

export function listenToWheel(plot: ChartPlot): void {
  plot.element.addEventListener('dblclick', () => plot.showAll());
  const onWheel = (event: WheelEvent): void => {
    if (!event.ctrlKey) return; // the plain wheel belongs to the page
    event.preventDefault();
    const { left, right } = plot.picture.plot;
    plot.zoom(event.deltaY < 0 ? 0.7 : 1.4, (plot.placeOf(event) - left) / (right - left));
  };
  plot.element.addEventListener('wheel', onWheel, { passive: false });
}

export function listenToDrag(plot: ChartPlot): void {
  const { element } = plot;
  let start: number | null = null;
  const chosen = (event: PointerEvent, from: number): [number, number] => {
    const to = placeInside(plot, event);
    return [Math.min(from, to), Math.max(from, to)];
  };
  element.addEventListener('pointerdown', (event) => {
    if (event.button !== 0 || event.pointerType === 'touch') return;
    start = placeInside(plot, event);
    element.setPointerCapture(event.pointerId);
  });
  element.addEventListener('pointermove', (event) => {
    if (start !== null) drawChoice(plot, chosen(event, start));
  });
  element.addEventListener('pointerup', (event) => {
    if (start === null) return;
    const [from, to] = chosen(event, start);
    start = null;
    dropChoice(element);
    const { x } = plot.picture;
    if (to - from > 6) plot.show({ from: x.invert(from), to: x.invert(to) });
  });
  element.addEventListener('pointercancel', () => {
    start = null;
    dropChoice(element);
  });
}

function placeInside(plot: ChartPlot, event: MouseEvent): number {
  const { left, right } = plot.picture.plot;
  return Math.min(right, Math.max(left, plot.placeOf(event)));
}

function drawChoice({ element, picture }: ChartPlot, [from, to]: readonly [number, number]): void {
  const { top, bottom } = picture.plot;
  const area = html`<path class="choice" d="M${from} ${top}H${to}V${bottom}H${from}z"></path>`;
  dropChoice(element);
  element.querySelector('svg')?.insertAdjacentHTML('beforeend', area.toString());
}

function dropChoice(element: HTMLElement): void {
  element.querySelector('.choice')?.remove();
}

export function readPointer(plot: ChartPlot, reading: HTMLElement): void {
  plot.element.addEventListener('pointermove', (event) => {
    reading.textContent = readingAt(plot, plot.placeOf(event));
  });
  plot.element.addEventListener('pointerleave', () => {
    reading.textContent = '';
  });
}

/** Lines told under the pointer; a reader follows no more at once. */
const linesRead = 8;

function readingAt({ chart, picture }: ChartPlot, place: number): string {
  const { plot, x } = picture;
  if (place < plot.left || place > plot.right) return '';
  const at = x.invert(place);
  const isRead = chart.kind !== 'path' && chart.kind !== 'spectrogram';
  const lines = !isRead ? [] : chart.lines.filter((line) => line.x.length > 1);
  const parts = lines.slice(0, linesRead).map((line) => lineReading(line, at, chart.y));
  return [`${chart.x.label} ${autoText(at, chart.x.unit, 5)}`, ...parts.filter(Boolean)].join(
    '   ',
  );
}

function lineReading(
  { name, role, x, y, low }: DrawnLine,
  at: number,
  { unit, shown }: DrawnChart['y'],
): string {
  const text = (value: number): string =>
    shown === undefined ? autoText(value, unit) : figureText(value, unit, shown);
  const [first = 0] = x;
  const k = bisectCenter(x, at);
  const [value, lowest] = [y[k], low?.[k]];
  if (role === 'corridor' || value === undefined || at < first || at > (x.at(-1) ?? first))
    return '';
  const high = text(value);
  const isBand = lowest !== undefined && lowest !== value;
  return `${name} ${isBand ? `${text(lowest)} to ${high}` : high}`;
}
