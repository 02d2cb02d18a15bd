import { didYouMean } from '../files/did-you-mean.ts';
import type { Metric } from '../measure/metric.ts';
import type { LimitsSource } from '../plan/plan.ts';
import type { Raw, ValueReader } from '../plan/value-reader.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import { parseHalfWidth } from '../units/parse-half-width.ts';
import type { Dimension } from '../units/unit.ts';
import type { CriterionShape } from './spec-schema.ts';

/** Figures that follow from the lamp file, for `target:`. */
export const derivedTargets: Readonly<Record<string, Dimension>> = {
  'stage.ripple': 'current',
  'stage.mean-current': 'current',
  'stage.switching-frequency': 'frequency',
  'stage.off-time': 'time',
  'channel.max-current': 'current',
};

const forms = 'at-most, at-least, between, or target with tolerance';

/** The tolerance of a criterion; null where it has issues. */
export function readLimits(
  shape: CriterionShape,
  metric: Metric,
  reader: ValueReader,
): LimitsSource | null {
  const { between, target, tolerance } = shape;
  const atMost = shape['at-most'];
  const atLeast = shape['at-least'];
  const used = [
    atMost !== undefined || atLeast !== undefined,
    between !== undefined,
    target !== undefined || tolerance !== undefined,
  ].filter(Boolean).length;
  if (used !== 1) {
    const found = used === 0 ? 'none' : 'more than one of them';
    reader.report(`expected a tolerance (${forms}), found ${found}`);
    return null;
  }
  if (between) return readBetween(between, metric, reader.at('between'));
  if (atMost !== undefined || atLeast !== undefined)
    return readSides(atLeast, atMost, metric, reader);
  if (target === undefined || tolerance === undefined) {
    const missing = target === undefined ? 'target' : 'tolerance';
    reader.report(`target and tolerance belong together, but "${missing}" is missing; add it`);
    return null;
  }
  return readTarget(target, tolerance, metric, reader);
}

function readSides(
  atLeast: Raw | undefined,
  atMost: Raw | undefined,
  metric: Metric,
  reader: ValueReader,
): LimitsSource | null {
  const lower = atLeast === undefined ? null : metricFigure(atLeast, metric, reader.at('at-least'));
  const upper = atMost === undefined ? null : metricFigure(atMost, metric, reader.at('at-most'));
  if (Number.isNaN(lower) || Number.isNaN(upper)) return null;
  if (lower !== null && upper !== null && lower >= upper) {
    reader.report(
      `at-least ${show(lower, metric)} leaves nothing below at-most ${show(upper, metric)}`,
    );
    return null;
  }
  const text = [
    lower === null ? '' : `at least ${show(lower, metric)}`,
    upper === null ? '' : `at most ${show(upper, metric)}`,
  ];
  return { lower, upper, target: null, text: text.filter(Boolean).join(', ') };
}

function readBetween(
  [low, high]: readonly [Raw, Raw],
  metric: Metric,
  reader: ValueReader,
): LimitsSource | null {
  const lower = metricFigure(low, metric, reader.at(0));
  const upper = metricFigure(high, metric, reader.at(1));
  if (Number.isNaN(lower + upper)) return null;
  if (lower >= upper) {
    reader.report(
      `expected the lower figure first, found ${show(lower, metric)} and ${show(upper, metric)}`,
    );
    return null;
  }
  const text = `${show(lower, metric)} … ${show(upper, metric)}`;
  return { lower, upper, target: null, text };
}

function readTarget(
  target: Raw,
  tolerance: Raw,
  metric: Metric,
  reader: ValueReader,
): LimitsSource | null {
  const width = readWidth(tolerance, metric, reader.at('tolerance'));
  const word = reader.at('target').text(target).trim();
  if (/^[a-z]+\.[a-z-]+$/i.test(word)) {
    const derived = readDerived(word, target, metric, reader.at('target'));
    if (!derived || !width) return null;
    const { relative, absolute } = width;
    return { derived, relative, absolute, text: `${derived} ± ${width.text}` };
  }
  const centre = metricFigure(target, metric, reader.at('target'));
  if (!width || Number.isNaN(centre)) return null;
  const half = width.absolute ?? Math.abs(centre) * (width.relative ?? 0);
  if (half === 0) {
    const hint = centre === 0 ? `; write "between: [-${width.text}, ${width.text}]"` : '';
    reader
      .at('tolerance')
      .report(`± ${width.text} of ${show(centre, metric)} leaves no room${hint}`, tolerance);
    return null;
  }
  return {
    lower: centre - half,
    upper: centre + half,
    target: centre,
    text: `${show(centre, metric)} ± ${width.text}`,
  };
}

/** `± 5 %` is relative to the target, whatever the metric's unit; anything else is in that unit. */
function readWidth(
  written: Raw,
  metric: Metric,
  reader: ValueReader,
): { relative: number | null; absolute: number | null; text: string } | null {
  const text = reader.text(written).trim();
  if (text.includes('$')) return null;
  const parsed = parseHalfWidth(text);
  const expected = `expected a half-width such as ± 5 % or ± ${exampleOf(metric)}`;
  if (!parsed.ok) {
    reader.report(`${expected}, but ${parsed.problem}`, written);
    return null;
  }
  const { value, dimension, unit } = parsed.quantity;
  const shown = text.replace(/^(±|\+\/-|\+-)\s*/, '');
  if (dimension === 'ratio') return { relative: value, absolute: null, text: shown };
  if (dimension !== metric.dimension && !(dimension === 'number' && isBare(metric))) {
    const found = unit === '' ? `${shown} without a unit` : shown;
    reader.report(`${expected} for ${metric.id}, found ± ${found}`, written);
    return null;
  }
  return { relative: null, absolute: value, text: shown };
}

function readDerived(
  word: string,
  written: Raw,
  metric: Metric,
  reader: ValueReader,
): string | null {
  const dimension = Object.hasOwn(derivedTargets, word) ? derivedTargets[word] : undefined;
  if (dimension === metric.dimension) return word;
  const fitting = Object.keys(derivedTargets).filter(
    (key) => derivedTargets[key] === metric.dimension,
  );
  const guess =
    didYouMean(word, fitting) || (fitting.length > 0 ? `; known: ${fitting.join(', ')}` : '');
  const what =
    dimension === undefined
      ? `the lamp file has no figure "${word}"`
      : `${word} is a ${dimension}, but ${metric.id} is a ${metric.dimension}`;
  reader.report(`${what}${guess}`, written);
  return null;
}

/** A figure in the unit of the metric. */
function metricFigure(written: Raw, metric: Metric, reader: ValueReader): number {
  return reader.figure(written, metric.dimension, { bare: isBare(metric) });
}

/** Ratios that nobody writes in per cent (flicker index, SVM) may stand without a unit. */
function isBare({ shown }: Metric): boolean {
  return shown === '1' || shown === '';
}

function show(value: number, { dimension, shown }: Metric): string {
  return formatQuantity(value, dimension, shown);
}

function exampleOf(metric: Metric): string {
  return isBare(metric) ? '0.1' : `1 ${metric.shown}`;
}
