import type { Metric } from '../measure/metric.ts';
import type { LimitsSource } from '../plan/plan.ts';
import type { Raw, ValueReader } from '../plan/value-reader.ts';
import { metricFigure, showFigure } from './metric-figure.ts';
import { readTarget } from './read-target.ts';
import type { CriterionShape } from './spec-schema.ts';

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
      `at-least ${showFigure(lower, metric)} leaves nothing below at-most ${showFigure(upper, metric)}`,
    );
    return null;
  }
  const text = [
    lower === null ? '' : `at least ${showFigure(lower, metric)}`,
    upper === null ? '' : `at most ${showFigure(upper, metric)}`,
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
      `expected the lower figure first, found ${showFigure(lower, metric)} and ${showFigure(upper, metric)}`,
    );
    return null;
  }
  const text = `${showFigure(lower, metric)} … ${showFigure(upper, metric)}`;
  return { lower, upper, target: null, text };
}
