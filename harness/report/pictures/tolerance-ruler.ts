import type { Finding } from '../../record/run-record.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import { type Html, html } from '../html/html.ts';
import { figureText, shownUnit, valueText } from '../words/value-text.ts';
import { type AxisRange, scaleOf } from './axis.ts';
import { tenth } from './frame.ts';
import { verdictClass, verdictShape } from './verdict-shape.ts';

const width = 260;
const height = 34;
const side = 8;
/** Middle of the band and foot of the figures. */
const middle = 12;
const foot = 31;

type At = (value: number) => number;

/**
 * A finding against its tolerance: the allowed band, the guard band inside its ends where the rule keeps one, the value
 * in the shape of its verdict, and its expanded uncertainty as a whisker. The scale is the finding's own unit, and
 * logarithmic when value and limit are too far apart to share a straight one.
 */
export function toleranceRuler(finding: Finding): Html | null {
  const { outcome, limits, verdict } = finding;
  if (!outcome.measured || (limits.lower === null && limits.upper === null)) return null;
  const { value } = outcome;
  const expanded = finding.uncertainty?.expanded ?? 0;
  const range = rulerRange(value, expanded, limits.lower, limits.upper);
  const scale = scaleOf(range, side, width - side);
  const at: At = (figure) => tenth(onRuler(scale(figure)));
  return html`
    <svg class="ruler ${verdictClass(verdict)}" viewBox="0 0 ${width} ${height}" role="img" aria-label="${rulerWords(finding)}">
      <path class="scale" d="M${side} ${middle}H${width - side}"></path>
      ${band(finding, expanded, range, at)}
      ${limitMarks(finding, at)}
      ${whisker(value, expanded, at)}
      ${pointer(finding, value, range, at)}
    </svg>`;
}

/** The same in words, for those who do not see the picture. */
function rulerWords(finding: Finding): string {
  return `${finding.title} ${valueText(finding)}, allowed ${finding.limits.text}: ${finding.verdict}`;
}

function band({ limits, rule }: Finding, expanded: number, { log }: AxisRange, at: At): Html[] {
  const { lower, upper } = limits;
  const guard = rule === 'guarded' ? expanded : 0;
  const start = lower === null ? side : at(lower);
  const end = upper === null ? width - side : at(upper);
  const allowed = bandPart('allowed', start, end);
  if (guard <= 0 || (log && guard >= (upper ?? Number.POSITIVE_INFINITY))) return [allowed];
  const innerStart = lower === null ? start : at(lower + guard);
  const innerEnd = upper === null ? end : at(upper - guard);
  return innerEnd > innerStart ? [allowed, bandPart('inside', innerStart, innerEnd)] : [allowed];
}

function bandPart(name: string, from: number, to: number): Html {
  const length = tenth(Math.max(0, to - from));
  return html`<rect class="${name}" x="${from}" y="${middle - 6}" width="${length}" height="12"></rect>`;
}

function limitMarks({ limits, unit, shown }: Finding, at: At): Html {
  const { lower, upper, target } = limits;
  const symbol = shownUnit(unit, shown);
  const withUnit = (limit: number) => figureText(limit, unit, shown);
  if (lower === null || upper === null) {
    const limit = lower ?? upper ?? 0;
    return limitMark(at(limit), withUnit(limit));
  }
  const [start, end] = [at(lower), at(upper)];
  // Two limits close together: their figures grow apart, or they would lie on each other.
  const isClose = end - start < 64;
  return html`
    ${limitMark(start, formatNumber(toShown(lower, unit, symbol)), isClose ? 'end' : undefined)}
    ${limitMark(end, withUnit(upper), isClose ? 'start' : undefined)}
    ${target !== null && html`<path class="target" d="M${at(target)} ${middle - 6}v12"></path>`}`;
}

function limitMark(place: number, text: string, anchor = anchorAt(place)): Html {
  return html`
    <path class="limit" d="M${place} ${middle - 9}V${middle + 9}"></path>
    <text x="${place}" y="${foot}" text-anchor="${anchor}">${text}</text>`;
}

/** Figures near an end of the ruler grow inwards. */
function anchorAt(place: number): string {
  if (place < side + 24) return 'start';
  return place > width - side - 24 ? 'end' : 'middle';
}

function whisker(value: number, expanded: number, at: At): Html | null {
  const [from, to] = [at(value - expanded), at(value + expanded)];
  if (to - from < 2) return null;
  const caps = `M${from} ${middle - 4}v8M${to} ${middle - 4}v8`;
  return html`<path class="whisker" d="M${from} ${middle}H${to}${caps}"></path>`;
}

/** The value; an arrow at the end where it lies beyond. */
function pointer({ verdict }: Finding, value: number, { from, to }: AxisRange, at: At): Html {
  if (value >= from && value <= to) return verdictShape(verdict, at(value), middle, 5);
  const beyond = value > to ? 1 : -1;
  const tip = beyond > 0 ? width - 1 : 1;
  return html`<path class="mark" d="M${tip} ${middle}l${-8 * beyond} -5v10z"></path>`;
}

/** Both limits, the value and its whisker, with air around; see the tests for the cases. */
export function rulerRange(
  value: number,
  expanded: number,
  lower: number | null,
  upper: number | null,
): AxisRange {
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

function logRange(values: readonly number[]): AxisRange {
  return { from: Math.min(...values) / 3, to: Math.max(...values) * 3, log: true };
}

function onRuler(place: number): number {
  if (Number.isNaN(place)) return side;
  return Math.min(width - side, Math.max(side, place));
}
