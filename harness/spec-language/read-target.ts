import { didYouMean } from '../files/did-you-mean.ts';
import type { Metric } from '../measure/metric.ts';
import { derivedTargets } from '../plan/derived-targets.ts';
import type { LimitsSource } from '../plan/plan.ts';
import type { Raw, ValueReader } from '../plan/value-reader.ts';
import { parseHalfWidth } from '../units/parse-half-width.ts';
import { exampleFigure, isBare, metricFigure, showFigure } from './metric-figure.ts';

/** A tolerance about a target; null where it has issues. The target may be a figure that follows from the lamp file. */
export function readTarget(
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
      .report(`± ${width.text} of ${showFigure(centre, metric)} leaves no room${hint}`, tolerance);
    return null;
  }
  return {
    lower: centre - half,
    upper: centre + half,
    target: centre,
    text: `${showFigure(centre, metric)} ± ${width.text}`,
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
  const expected = `expected a half-width such as ± 5 % or ± ${exampleFigure(metric)}`;
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
  const dimension = Object.hasOwn(derivedTargets, word)
    ? derivedTargets[word]?.dimension
    : undefined;
  if (dimension === metric.dimension) return word;
  const fitting = Object.entries(derivedTargets)
    .filter(([, target]) => target.dimension === metric.dimension)
    .map(([name]) => name);
  const guess =
    didYouMean(word, fitting) || (fitting.length > 0 ? `; known: ${fitting.join(', ')}` : '');
  const what =
    dimension === undefined
      ? `the lamp file has no figure "${word}"`
      : `${word} is a ${dimension}, but ${metric.id} is a ${metric.dimension}`;
  reader.report(`${what}${guess}`, written);
  return null;
}
