import { describeValue } from '../files/describe-value.ts';
import { didYouMean } from '../files/did-you-mean.ts';
import { unknownKey } from '../files/schema-issues.ts';
import type { Metric, Parameter } from '../measure/metric.ts';
import { findMetric, metrics } from '../measure/metrics.ts';
import { signals as allSignals, type Signal } from '../measure/signals.ts';
import type { CaptureRequest, Criterion } from '../plan/plan.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { ConditionReader, Path } from './condition-reader.ts';
import { readMark } from './read-captures.ts';
import { readLimits } from './read-limits.ts';
import { type CriterionShape, criterionSchema } from './spec-schema.ts';

const ownKeys = Object.keys(criterionSchema.shape);

export interface CriteriaContext {
  readonly marks: readonly string[];
  readonly captures: readonly CaptureRequest[];
  /** Some capture could not be read: what is missing may be that one. */
  readonly capturesKnown: boolean;
}

export function readCriteria(
  shapes: readonly (CriterionShape | null)[],
  context: CriteriaContext,
  path: Path,
  reader: ConditionReader,
): Criterion[] {
  return shapes.flatMap((shape, index) => {
    const criterion = shape && readCriterion(shape, context, [...path, index], reader);
    return criterion ? [criterion] : [];
  });
}

function readCriterion(
  shape: CriterionShape,
  context: CriteriaContext,
  path: Path,
  reader: ConditionReader,
): Criterion | null {
  const id = reader.text(shape.metric, [...path, 'metric']);
  const metric = findMetric(id);
  if (!metric) {
    if (id.includes('$')) return null;
    const guess = didYouMean(
      id,
      metrics.map((known) => known.id),
    );
    const hint = guess || '; evenfall check --metrics lists them';
    reader.report([...path, 'metric'], `"${id}" is not a metric${hint}`, shape.metric);
    return null;
  }
  const { marks } = context;
  const during = shape.during;
  const reference = shape.reference;
  const parameters = readParameters(shape, metric, path, reader);
  const limits = readLimits(shape, metric, path, reader);
  const signal = checkSignals(shape, metric, context, path, reader);
  const of = readSubject(shape, metric, context, path, reader);
  if (metric.needs.reference && reference === undefined)
    reader.report(path, `${id} compares with a second window; add "reference: MARK"`);
  const windows = {
    ...(during !== undefined && {
      during: readMark(during, marks, [...path, 'during'], reader),
    }),
    ...(reference !== undefined && {
      reference: readMark(reference, marks, [...path, 'reference'], reader),
    }),
  };
  if (!limits) return null;
  const line = reader.issues.yaml.line(path);
  return { metric: id, of, ...(signal && { signal }), ...windows, parameters, limits, line };
}

function readParameters(
  shape: CriterionShape,
  metric: Metric,
  path: Path,
  reader: ConditionReader,
): Record<string, number | string> {
  const names = metric.parameters.map((parameter) => parameter.name);
  for (const key of Object.keys(shape)) {
    if (!ownKeys.includes(key) && !names.includes(key))
      reader.report([...path, key], unknownKey(key, [...ownKeys, ...names]), null, 'key');
  }
  const values: Record<string, number | string> = {};
  for (const parameter of metric.parameters) {
    const written = Object.hasOwn(shape, parameter.name) ? shape[parameter.name] : undefined;
    const value = readParameter(parameter, written, metric, path, reader);
    if (value !== null) values[parameter.name] = value;
  }
  return values;
}

function readParameter(
  { name, kind, default: otherwise, about }: Parameter,
  written: unknown,
  metric: Metric,
  path: Path,
  reader: ConditionReader,
): number | string | null {
  const at = [...path, name];
  if (written === undefined) {
    if (otherwise === null) reader.report(path, `${metric.id} needs "${name}" (${about}); add it`);
    return otherwise;
  }
  if (typeof written !== 'string' && typeof written !== 'number') {
    reader.report(at, `expected a figure or a word, found ${describeValue(written)}`);
    return null;
  }
  if (typeof kind === 'string') return reader.figure(written, at, kind, { bare: true });
  const word = reader.text(written, at);
  if (kind.includes(word) || word.includes('$')) return word;
  const guess = didYouMean(word, [...kind]);
  reader.report(
    at,
    `expected one of ${kind.join(', ')}, found ${describeValue(word)}${guess}`,
    written,
  );
  return null;
}

/** The spec has to capture what the metric reads, and fast enough. */
function checkSignals(
  shape: CriterionShape,
  metric: Metric,
  { captures, capturesKnown }: CriteriaContext,
  path: Path,
  reader: ConditionReader,
): Signal | undefined {
  const { signals, rate } = metric.needs;
  const wanted = shape.signal;
  if (wanted && !signals.includes(wanted)) {
    reader.report([...path, 'signal'], `${metric.id} reads ${signals.join(' or ')}, not ${wanted}`);
    return undefined;
  }
  const readable = wanted ? [wanted] : signals;
  const captured = captures.filter(({ signal }) => readable.includes(signal));
  if (captured.length === 0) {
    const add = `add "- { signal: ${readable[0]}, … }" to capture`;
    if (capturesKnown)
      reader.report(
        path,
        `${metric.id} reads ${readable.join(' or ')}, which is not captured; ${add}`,
      );
    return wanted;
  }
  const fastest = Math.max(...captured.map((capture) => capture.rate ?? Number.POSITIVE_INFINITY));
  if (rate !== undefined && fastest < rate) {
    const found = `the fastest capture of ${readable.join(' or ')} has ${formatQuantity(fastest, 'frequency')}`;
    reader.report(
      path,
      `${metric.id} needs at least ${formatQuantity(rate, 'frequency')}, but ${found}; raise its rate`,
    );
  }
  return wanted;
}

/** Whose record the metric is computed of. */
function readSubject(
  shape: CriterionShape,
  metric: Metric,
  { captures }: CriteriaContext,
  path: Path,
  reader: ConditionReader,
): string {
  const { scope, signals } = metric.needs;
  if (scope === 'all-channels') {
    if (shape.of !== undefined && shape.of !== 'lamp')
      reader.report([...path, 'of'], `${metric.id} looks at all channels at once; leave "of" out`);
    return 'lamp';
  }
  if (shape.of === undefined) return usualSubject(shape.signal, signals, captures);
  const of = reader.text(shape.of, [...path, 'of']);
  const channels = reader.lamp.channels.map(({ channel }) => channel);
  const known = ['each-channel', 'light', 'lamp', ...channels, ...signals];
  if (known.includes(of) || of.includes('$') || !reader.lampFits) return of;
  const guess =
    didYouMean(of, known) ||
    `; expected one of ${['each-channel', 'light', 'lamp', ...channels].join(', ')}`;
  reader.report(
    [...path, 'of'],
    `lamp ${reader.lamp.lamp} has no channel "${of}"${guess}`,
    shape.of,
  );
  return of;
}

/** Each channel for a current, the one record there is for everything else. */
function usualSubject(
  wanted: Signal | undefined,
  signals: readonly Signal[],
  captures: readonly CaptureRequest[],
): string {
  const readable = wanted ? [wanted] : signals;
  const first = readable.find((signal) => captures.some((capture) => capture.signal === signal));
  return first ? allSignals[first].usualSubject : 'lamp';
}
