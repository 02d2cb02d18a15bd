import { type Html, html } from '../html/html.ts';
import type { Tick } from './axis.ts';

/** Where in a picture the lines are; around it stand figures, titles and the words of marks. */
export interface Plot {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

export interface FrameAxis {
  /** Place of a figure. */
  readonly scale: (value: number) => number;
  readonly ticks: readonly Tick[];
  readonly title: string;
}

const charWidth = 7;
const rowHeight = 13;
/** Foot of the first row of words, and where a plot beneath it starts. */
const firstRow = 12;
export const headHeight = 20;

function wordWidth(text: string): number {
  return text.length * charWidth;
}

/** Room for the figures beside an upright axis. */
export function labelWidth(ticks: readonly Tick[]): number {
  return Math.max(34, ...ticks.map(({ label }) => wordWidth(label) + 12));
}

/** Both axes with their ticks and titles; figures of the upright one have a line across the plot. */
export function axes(x: FrameAxis, y: FrameAxis, { left, right, top, bottom }: Plot): Html {
  return html`
    ${y.ticks.map((tick) => uprightTick(tick, tenth(y.scale(tick.at)), left, right))}
    ${x.ticks.map((tick) => levelTick(tick, tenth(x.scale(tick.at)), bottom, right))}
    <path class="axis" d="M${left} ${top}V${bottom}H${right}"></path>
    <text class="axis-word" x="${right}" y="${bottom + 30}" text-anchor="end">${x.title}</text>
    <text class="axis-word" x="2" y="${firstRow}">${y.title}</text>`;
}

function uprightTick({ label }: Tick, place: number, left: number, right: number): Html {
  if (label === '') return html`<path class="minor" d="M${left} ${place}h-3"></path>`;
  return html`
    <g class="tick">
      <path d="M${left} ${place}H${right}"></path>
      <text x="${left - 6}" y="${tenth(place + 4)}" text-anchor="end">${label}</text>
    </g>`;
}

function levelTick({ label }: Tick, place: number, bottom: number, right: number): Html {
  if (label === '') return html`<path class="minor" d="M${place} ${bottom}v3"></path>`;
  // Words near the right end would leave the picture.
  const anchor = place + wordWidth(label) / 2 > right + 10 ? 'end' : 'middle';
  return html`
    <g class="tick">
      <path d="M${place} ${bottom}v4"></path>
      <text x="${place}" y="${bottom + 16}" text-anchor="${anchor}">${label}</text>
    </g>`;
}

/** Something that happened at one place of the level axis. */
export interface Mark {
  readonly place: number;
  readonly label: string;
  /** What the style sheet calls it. */
  readonly kind?: string;
}

interface PlacedMark extends Mark {
  readonly row: number;
  readonly start: number;
}

/** Marks on as few rows as keep their words from lying on each other, the first row beside the title. */
export function markRows(
  marks: readonly Mark[],
  title: string,
  { left, right }: Pick<Plot, 'left' | 'right'>,
): { readonly marks: readonly PlacedMark[]; readonly height: number } {
  const ends = [wordWidth(title) + 8];
  const placed = marks.map((mark): PlacedMark => {
    const most = Math.min(24, Math.floor((right - left) / charWidth));
    const label = mark.label.length > most ? `${mark.label.slice(0, most - 1)}…` : mark.label;
    const width = wordWidth(label);
    // A word that would leave the picture starts before its line.
    const start = Math.max(left, Math.min(mark.place, right - width));
    const free = ends.findIndex((end) => start >= end);
    const row = free < 0 ? ends.length : free;
    ends[row] = start + width + 8;
    return { ...mark, label, row, start };
  });
  return { marks: placed, height: (ends.length - 1) * rowHeight };
}

export function markLines(marks: readonly PlacedMark[], bottom: number): Html[] {
  return marks.map(({ place, start, row, label, kind = '' }) => {
    const foot = firstRow + row * rowHeight;
    const more = kind && ` ${kind}`;
    return html`
      <path class="mark-line${more}" d="M${tenth(place)} ${foot + 3}V${bottom}"></path>
      <text class="mark-word${more}" x="${tenth(start + 3)}" y="${foot}">${label}</text>`;
  });
}

/** Tenths of a pixel are finer than any screen shows. */
export function tenth(place: number): number {
  return Math.round(place * 10) / 10;
}
