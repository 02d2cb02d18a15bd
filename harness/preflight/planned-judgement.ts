import type { Lamp } from '../bench/lamp.ts';
import type { Rig, RigInstrument, Wire } from '../bench/rig.ts';
import type { Metric } from '../measure/metric.ts';
import { findMetric } from '../measure/metrics.ts';
import type { CommandedChannel } from '../measure/observation.ts';
import { type Signal, signals } from '../measure/signals.ts';
import { levelAt } from '../plan/commanded.ts';
import type { CaptureRequest, Condition, Criterion } from '../plan/plan.ts';
import { plannedLight } from '../plan/planned-light.ts';
import { markWindow, schedule } from '../plan/schedule.ts';

/** One criterion in one condition, with everything that preflight looks at. */
export interface PlannedJudgement {
  readonly metric: Metric;
  readonly criterion: Criterion;
  readonly capture: CaptureRequest;
  readonly wire: Wire;
  readonly instrument: RigInstrument | undefined;
  /** Length of the window, s. */
  readonly window: number;
  /** Length of the record that it is cut from, s. */
  readonly record: number;
  /** Darkest lit level commanded in the window, relative to full light; null where all is dark. */
  readonly lowest: number | null;
  readonly lamp: Lamp;
}

/** Every criterion of a condition whose signal the rig can record at all. */
export function plannedJudgements(
  condition: Condition,
  rig: Rig,
  lamp: Lamp,
): readonly PlannedJudgement[] {
  const plan = schedule(condition.stimulus, lamp);
  const light = plannedLight(plan, lamp).finish(plan.duration);
  return condition.criteria.flatMap((criterion) => {
    const metric = findMetric(criterion.metric);
    const capture = metric && captureFor(metric, criterion, condition);
    const wire = capture && findWire(rig, capture.signal);
    const window = markWindow(plan, criterion.during);
    if (!metric || !capture || !wire || !window) return [];
    const record = markWindow(plan, capture.during) ?? window;
    return [
      {
        metric,
        criterion,
        capture,
        wire,
        instrument: rig.instruments.find(({ name }) => name === wire.instrument),
        window: window.to - window.from,
        record: record.to - record.from,
        lowest: lowestLit(light.channels, capture.signal, window, lamp),
        lamp,
      },
    ];
  });
}

/** The best input of a signal: the one that all channels share, or the first of those for one each. */
export function findWire(rig: Rig, signal: Signal): Wire | undefined {
  return rig.wiring.find((wire) => wire.signal === signal);
}

function captureFor(
  metric: Metric,
  criterion: Criterion,
  { captures }: Condition,
): CaptureRequest | undefined {
  const readable = criterion.signal ? [criterion.signal] : metric.needs.signals;
  for (const signal of readable) {
    const found = captures.find((capture) => capture.signal === signal);
    if (found) return found;
  }
  return undefined;
}

/** Of a channel for currents; of the mix for everything that sees the light. */
function lowestLit(
  channels: readonly CommandedChannel[],
  signal: Signal,
  window: { readonly from: number; readonly to: number },
  lamp: Lamp,
): number | null {
  const instants = [window.from, window.to, ...channels.flatMap(turns)].filter(
    (at) => at >= window.from && at <= window.to,
  );
  const full = channels.reduce((sum, { lumen }) => sum + lumen, 0);
  const levels = instants.flatMap((at) => {
    const own = channels.map((channel) => levelOf(channel, Math.min(at, window.to - 1e-9), lamp));
    if (signals[signal].usualSubject === 'each-channel') return own;
    return [own.reduce((sum, level, index) => sum + level * channels[index]!.lumen, 0) / full];
  });
  const lit = levels.filter((level) => level > 0);
  return lit.length > 0 ? Math.min(...lit) : null;
}

function turns({ segments }: CommandedChannel): readonly number[] {
  return segments.flatMap(({ from, to }) => [from, to]);
}

function levelOf({ segments }: CommandedChannel, at: number, lamp: Lamp): number {
  const segment = segments.find(({ from, to }) => at >= from && at < to);
  return segment ? levelAt(segment, at, lamp) : 0;
}
