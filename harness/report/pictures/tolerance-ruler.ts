import type { Finding } from '../../record/run-record.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import { element, type Markup } from '../html/markup.ts';
import { figureText, shownUnit, valueText } from '../words/value-text.ts';
import { type AxisScale, axisScale } from './axis-scale.ts';
import { verdictShape } from './verdict-shape.ts';

const width = 260;
const height = 34;
const side = 8;
/** Middle of the band and foot of the figures. */
const middle = 12;
const foot = 31;

/**
 * A finding against its tolerance: the allowed band, the guard band inside its ends where the rule keeps one, the value
 * in the shape of its verdict, and its expanded uncertainty as a whisker. The scale is the finding's own unit, and
 * logarithmic when value and limit are too far apart to share a straight one.
 */
export function toleranceRuler(finding: Finding): Markup | null {
  const { outcome, limits } = finding;
  const { lower, upper } = limits;
  if (!outcome.measured || (lower === null && upper === null)) return null;
  const expanded = finding.uncertainty?.expanded ?? 0;
  const range = rulerRange(outcome.value, expanded, lower, upper);
  const scale = axisScale(range, { start: side, end: width - side, ticks: 4 });
  const at = (value: number) => round(clamp(scale.place(value)));
  return element(
    'svg',
    {
      class: `ruler ${finding.verdict.replace(' ', '-')}`,
      viewBox: `0 0 ${width} ${height}`,
      role: 'img',
      'aria-label': rulerWords(finding),
    },
    element('path', { class: 'scale', d: `M${side} ${middle}H${width - side}` }),
    band(scale, lower, upper, finding.rule === 'guarded' ? expanded : 0, at),
    limitMarks(finding, at),
    whisker(outcome.value, expanded, at),
    pointer(finding, scale, outcome.value, at),
  );
}

/** The same in words, for those who do not see the picture. */
export function rulerWords(finding: Finding): string {
  return `${finding.title} ${valueText(finding)}, allowed ${finding.limits.text}: ${finding.verdict}`;
}

function band(
  scale: AxisScale,
  lower: number | null,
  upper: number | null,
  guard: number,
  at: (value: number) => number,
): Markup[] {
  const rect = (name: string, from: number, to: number) =>
    element('rect', {
      class: name,
      x: from,
      y: middle - 6,
      width: round(Math.max(0, to - from)),
      height: 12,
    });
  const start = lower === null ? side : at(lower);
  const end = upper === null ? width - side : at(upper);
  const innerStart = lower === null ? start : at(lower + guard);
  const innerEnd = upper === null ? end : at(upper - guard);
  const allowed = rect('allowed', start, end);
  if (guard <= 0 || (scale.log && guard >= (upper ?? Number.POSITIVE_INFINITY))) return [allowed];
  return innerEnd > innerStart ? [allowed, rect('inside', innerStart, innerEnd)] : [allowed];
}

function limitMarks({ limits, unit, shown }: Finding, at: (value: number) => number): Markup[] {
  const { lower, upper, target } = limits;
  const ends = [lower, upper].filter((limit): limit is number => limit !== null);
  const symbol = shownUnit(unit, shown);
  const marks: Markup[] = [];
  // Two limits close together: their figures grow apart, or they would lie on each other.
  const close = ends.length === 2 && at(ends[1]!) - at(ends[0]!) < 64;
  const anchors = close ? ['end', 'start'] : [];
  ends.forEach((limit, k) => {
    const place = at(limit);
    const last = k === ends.length - 1;
    const text = last ? figureText(limit, unit, shown) : formatNumber(toShown(limit, unit, symbol));
    marks.push(
      element('path', { class: 'limit', d: `M${place} ${middle - 9}V${middle + 9}` }),
      element('text', { x: place, y: foot, 'text-anchor': anchors[k] ?? anchorAt(place) }, text),
    );
  });
  if (target !== null && ends.length === 2)
    marks.push(element('path', { class: 'target', d: `M${at(target)} ${middle - 6}v12` }));
  return marks;
}

/** Figures near an end of the ruler grow inwards. */
function anchorAt(place: number): string {
  if (place < side + 24) return 'start';
  return place > width - side - 24 ? 'end' : 'middle';
}

function whisker(value: number, expanded: number, at: (value: number) => number): Markup | null {
  const [from, to] = [at(value - expanded), at(value + expanded)];
  if (to - from < 2) return null;
  const caps = `M${from} ${middle - 4}v8M${to} ${middle - 4}v8`;
  return element('path', { class: 'whisker', d: `M${from} ${middle}H${to}${caps}` });
}

function pointer(
  { verdict }: Finding,
  scale: AxisScale,
  value: number,
  at: (value: number) => number,
): Markup {
  const beyond = value > scale.to ? 1 : value < scale.from ? -1 : 0;
  const place = at(value);
  if (beyond === 0) return verdictShape(verdict, place, middle, 5);
  const tip = beyond > 0 ? width - 1 : 1;
  return element('path', { class: 'mark', d: `M${tip} ${middle}l${-8 * beyond} -5v10z` });
}

/** Both limits, the value and its whisker, with air around; see the tests for the cases. */
export function rulerRange(
  value: number,
  expanded: number,
  lower: number | null,
  upper: number | null,
): { from: number; to: number; log: boolean } {
  const [low, high] = [value - expanded, value + expanded];
  if (lower !== null && upper !== null && upper > lower) {
    const span = upper - lower;
    const from = Math.min(lower - span * 0.3, low - span * 0.08);
    const to = Math.max(upper + span * 0.3, high + span * 0.08);
    if (to - from < span * 12) return { from, to, log: false };
    return lower > 0 && value > 0
      ? logRange([lower, upper, value])
      : { from: Math.max(from, lower - span * 5), to: Math.min(to, upper + span * 5), log: false };
  }
  const limit = upper ?? lower ?? 0;
  const apart = value > 0 && limit > 0 ? Math.max(value / limit, limit / value) : 1;
  if (apart > 15) return logRange([limit, value]);
  const size = Math.max(Math.abs(limit), Math.abs(value), expanded) || 1;
  const reach = Math.max(limit + size * 0.5, high + size * 0.08);
  const from = Math.min(0, limit - (limit < 0 ? size * 0.5 : 0), low - (low < 0 ? size * 0.1 : 0));
  return { from, to: Math.max(reach, from + size), log: false };
}

function logRange(values: readonly number[]): { from: number; to: number; log: boolean } {
  return { from: Math.min(...values) / 3, to: Math.max(...values) * 3, log: true };
}

function clamp(place: number): number {
  if (Number.isNaN(place)) return side;
  return Math.min(width - side, Math.max(side, place));
}

function round(place: number): number {
  return Math.round(place * 10) / 10;
}
