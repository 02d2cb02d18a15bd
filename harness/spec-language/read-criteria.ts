import { didYouMean } from '../files/did-you-mean.ts';
import type { Metric } from '../measure/metric.ts';
import { findMetric, metrics } from '../measure/metrics.ts';
import { type Signal, signals } from '../measure/signals.ts';
import type { CaptureRequest, Criterion } from '../plan/plan.ts';
import type { ValueReader } from '../plan/value-reader.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import type { ConditionReader } from './condition-reader.ts';
import { readMark } from './marks.ts';
import { readLimits } from './read-limits.ts';
import { readParameters } from './read-parameters.ts';
import type { CriterionShape } from './spec-schema.ts';

export interface CriteriaContext {
  readonly marks: readonly string[];
  readonly captures: readonly CaptureRequest[];
  /** Names of the variables of the firmware that are recorded. */
  readonly probes: readonly string[];
  /** False where some capture could not be read: what is missing may be that one. */
  readonly capturesKnown: boolean;
}

export function readCriteria(
  shapes: readonly (CriterionShape | null)[],
  context: CriteriaContext,
  reader: ConditionReader,
): Criterion[] {
  return shapes.flatMap((shape, index) => {
    const criterion = shape && readCriterion(shape, context, reader.at(index));
    return criterion ? [criterion] : [];
  });
}

function readCriterion(
  shape: CriterionShape,
  context: CriteriaContext,
  reader: ConditionReader,
): Criterion | null {
  const metric = readMetric(shape.metric, reader.at('metric'));
  if (!metric) return null;
  const parameters = readParameters(shape, metric, reader);
  const limits = readLimits(shape, metric, reader);
  const signal = readSignal(shape, metric, reader.at('signal'));
  if (signal !== null)
    checkCaptured(signal ? [signal] : metric.needs.signals, metric, context, reader);
  const of = readJudgedOf(shape, metric, context, reader.at('of'));
  const windows = readWindows(shape, metric, context, reader);
  if (!limits) return null;
  const { line } = reader;
  return { metric: metric.id, of, ...(signal && { signal }), ...windows, parameters, limits, line };
}

function readMetric(written: string, reader: ValueReader): Metric | null {
  const id = reader.text(written);
  const metric = findMetric(id);
  if (metric) return metric;
  if (id.includes('$')) return null;
  const guess = didYouMean(
    id,
    metrics.map((known) => known.id),
  );
  const hint = guess || '; evenfall check --metrics lists them';
  reader.report(`"${id}" is not a metric${hint}`, written);
  return null;
}

/** The signal that the criterion asks for; undefined where it leaves that to the metric, null where it cannot be. */
function readSignal(
  { signal }: CriterionShape,
  { id, needs }: Metric,
  reader: ValueReader,
): Signal | undefined | null {
  if (!signal || needs.signals.includes(signal)) return signal;
  const reads = needs.signals.join(' or ') || 'no record';
  reader.report(`${id} reads ${reads}, not ${signal}`);
  return null;
}

/** The spec has to capture what the metric reads, and fast enough. */
function checkCaptured(
  readable: readonly Signal[],
  { id, needs: { rate } }: Metric,
  { captures, capturesKnown }: CriteriaContext,
  reader: ValueReader,
): void {
  if (readable.length === 0) return;
  const either = readable.join(' or ');
  const captured = captures.filter(({ signal }) => readable.includes(signal));
  if (captured.length === 0) {
    if (!capturesKnown) return;
    const add = `add "- { signal: ${readable[0]}, … }" to capture`;
    reader.report(`${id} reads ${either}, which is not captured; ${add}`);
    return;
  }
  const fastest = Math.max(
    ...captured.map((capture) => ('rate' in capture ? capture.rate : Number.POSITIVE_INFINITY)),
  );
  if (rate === undefined || fastest >= rate) return;
  const [wanted, found] = [rate, fastest].map((own) => formatQuantity(own, 'frequency'));
  reader.report(
    `${id} needs at least ${wanted}, but the fastest capture of ${either} has ${found}; raise its rate`,
  );
}

/** Whose record the metric is computed of. */
function readJudgedOf(
  { of: written, signal }: CriterionShape,
  { id, needs }: Metric,
  context: CriteriaContext,
  reader: ValueReader,
): string {
  const { captures } = context;
  if (needs.scope === 'all-channels') {
    if (written !== undefined && written !== 'lamp')
      reader.report(`${id} looks at all channels at once; leave "of" out`);
    return 'lamp';
  }
  if (needs.probe) return readProbeOf(written, id, context, reader);
  if (written === undefined) return usualSubject(signal ? [signal] : needs.signals, captures);
  const of = reader.text(written);
  const { lamp } = reader;
  const subjects = [
    'each-channel',
    'light',
    'lamp',
    ...lamp.channels.map(({ channel }) => channel),
  ];
  const known = [...subjects, ...needs.signals];
  if (known.includes(of) || of.includes('$') || !reader.lampFits) return of;
  const guess = didYouMean(of, known) || `; expected one of ${subjects.join(', ')}`;
  reader.report(`lamp ${lamp.lamp} has no channel "${of}"${guess}`, written);
  return of;
}

/** A probe that the spec records; the one that there is where it is not named. */
function readProbeOf(
  written: string | undefined,
  metric: string,
  { probes, capturesKnown }: CriteriaContext,
  reader: ValueReader,
): string {
  const [only, ...others] = probes;
  const of = written === undefined ? undefined : reader.text(written);
  if (of === undefined && only !== undefined && others.length === 0) return only;
  if (of === undefined) {
    reader.report(`${metric} is of a probe; add "of: NAME"`);
    return '';
  }
  if (probes.includes(of) || of.includes('$') || !capturesKnown) return of;
  const guess = didYouMean(of, probes) || `; add "- { signal: probe, of: ${of} }" to capture`;
  reader.report(`probe "${of}" is not captured${guess}`, written);
  return of;
}

/** Each channel for a current, the one record there is for everything else. */
function usualSubject(readable: readonly Signal[], captures: readonly CaptureRequest[]): string {
  const first = readable.find((signal) => captures.some((capture) => capture.signal === signal));
  return first ? signals[first].usualSubject : 'lamp';
}

function readWindows(
  { during, reference }: CriterionShape,
  { id, needs }: Metric,
  { marks }: CriteriaContext,
  reader: ValueReader,
): Pick<Criterion, 'during' | 'reference'> {
  if (needs.reference && reference === undefined)
    reader.report(`${id} compares with a second window; add "reference: MARK"`);
  return {
    ...(during !== undefined && { during: readMark(during, marks, reader.at('during')) }),
    ...(reference !== undefined && {
      reference: readMark(reference, marks, reader.at('reference')),
    }),
  };
}
