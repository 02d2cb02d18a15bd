import type { Finding } from '../../record/run-record.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import { type Html, html } from '../html/html.ts';
import { figureText, shownUnit, valueText } from '../words/value-text.ts';
import { type AxisRange, scaleOf } from './axis.ts';
import { tenth } from './frame.ts';
import { placedWords } from './ruler-words.ts';
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
 * in the shape of its verdict, and its expanded uncertainty as a whisker. The scale is the finding's own unit: straight, through zero or
 * both limits; where value and limit are too far apart for that it has a tick at each power of ten and the word `log`.
 */
export function toleranceRuler(finding: Finding): Html | null {
  const { outcome, limits, verdict } = finding;
  const range = sharedRange([finding]);
  if (!range || !outcome.measured || (limits.lower === null && limits.upper === null)) return null;
  return html`
    <svg class="ruler ${verdictClass(verdict)}" viewBox="0 0 ${width} ${height}" role="img" aria-label="${rulerWords(finding)}">
      ${ruledFinding(finding, range, true)}
    </svg>`;
}

/** How large a ruler is drawn, and how far down its line lies. */
export const rulerSize = { width, height, middle };

/** What stands on a ruler: its scale, the allowed band, the figures of the limits where they are wanted, the value. */
export function ruledFinding(finding: Finding, range: AxisRange, hasWords: boolean): Html {
  const { outcome } = finding;
  const expanded = finding.uncertainty?.expanded ?? 0;
  const scale = scaleOf(range, side, width - side);
  const at: At = (figure) => tenth(onRuler(scale(figure)));
  return html`
    <path class="scale" d="M${side} ${middle}H${width - side}${scaleTicks(range, at)}"></path>
    ${band(finding, expanded, range, at)}
    ${limitMarks(finding, at)}
    ${hasWords && words(finding, range, at)}
    ${outcome.measured && whisker(outcome.value, expanded, at)}
    ${outcome.measured && pointer(finding, outcome.value, range, at)}`;
}

/** The scale on which findings can be compared: it holds the values, limits and uncertainties of all. Null where none has a value. */
export function sharedRange(findings: readonly Finding[]): AxisRange | null {
  const ranges = findings.flatMap(({ outcome, limits: { lower, upper }, uncertainty }) =>
    outcome.measured ? [rulerRange(outcome.value, uncertainty?.expanded ?? 0, lower, upper)] : [],
  );
  const [first] = ranges;
  if (!first) return null;
  const to = Math.max(...ranges.map((range) => range.to));
  const from = Math.min(...ranges.map((range) => range.from));
  if (!ranges.some(({ log }) => log)) return { from, to, log: false };
  // Zero has no place on a logarithmic scale: what reaches it shows as much of it as the others do.
  const least = Math.min(...ranges.filter(({ log }) => log).map((range) => range.from));
  return { from: from > 0 ? from : least, to, log: true };
}

/** A tick at zero, or at each power of ten. */
function scaleTicks({ from, to, log }: AxisRange, at: At): string {
  const tick = (figure: number) => `M${at(figure)} ${middle - 3}v6`;
  if (!log) return from <= 0 && to >= 0 ? tick(0) : '';
  const [first, last] = [Math.ceil(Math.log10(from)), Math.floor(Math.log10(to))];
  const count = Math.max(0, last - first + 1);
  return Array.from({ length: count }, (_, k) => tick(10 ** (first + k))).join('');
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

function limitMarks({ limits: { lower, upper, target } }: Finding, at: At): Html {
  const line = (limit: number | null) =>
    limit !== null &&
    html`<path class="limit" d="M${at(limit)} ${middle - 9}V${middle + 9}"></path>`;
  return html`
    ${line(lower)}
    ${line(upper)}
    ${target !== null && html`<path class="target" d="M${at(target)} ${middle - 6}v12"></path>`}`;
}

/** The limits' figures, the unit at the last; then what kind of scale it is. */
function words({ limits, unit, shown }: Finding, { from, to, log }: AxisRange, at: At): Html[] {
  const { lower, upper } = limits;
  const symbol = shownUnit(unit, shown);
  const bare = (limit: number) => formatNumber(toShown(limit, unit, symbol));
  const withUnit = (limit: number) => figureText(limit, unit, shown);
  const figures =
    lower !== null && upper !== null
      ? [
          { text: bare(lower), at: at(lower) },
          { text: withUnit(upper), at: at(upper) },
        ]
      : [lower, upper].flatMap((limit) =>
          limit === null ? [] : [{ text: withUnit(limit), at: at(limit) }],
        );
  const isZeroLimit = lower === 0 || upper === 0;
  const zero = !log && from <= 0 && to >= 0 && !isZeroLimit ? [{ text: '0', at: at(0) }] : [];
  const kind = log ? [{ text: 'log', at: width }] : zero;
  return placedWords([...figures, ...kind], width).map(
    ({ text, start }) => html`<text x="${start}" y="${foot}">${text}</text>`,
  );
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
  // A whisker that reaches zero has no place on a logarithmic scale.
  if (apart > 15 && low > 0) return logRange([limit, value]);
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
