import type { Lamp } from '../bench/lamp.ts';
import type { Rig, RigInstrument } from '../bench/rig.ts';
import type { Metric } from '../measure/metric.ts';
import { findMetric } from '../measure/metrics.ts';
import type { Commanded, CommandedChannel, Window } from '../measure/observation.ts';
import { signals } from '../measure/signals.ts';
import type { CapturePlan } from '../plan/captures/plan-captures.ts';
import type { PlannedCapture } from '../plan/captures/planned-capture.ts';
import { levelAt } from '../plan/commanded.ts';
import { judgedSubjects } from '../plan/judged-subjects.ts';
import type { Condition, Criterion } from '../plan/plan.ts';
import { plannedLight } from '../plan/planned-light.ts';
import { markWindow } from '../plan/schedule.ts';
import { judgedCaptures } from './judged-captures.ts';

/** One criterion in one condition and a capture that it will be judged by, with everything that preflight looks at. */
export interface PlannedJudgement {
  readonly metric: Metric;
  readonly criterion: Criterion;
  readonly capture: PlannedCapture;
  /** Sampling rate of the capture, Hz; null where it is no waveform. */
  readonly rate: number | null;
  readonly instrument: RigInstrument | undefined;
  /** Length of the window, s. */
  readonly window: number;
  /** Length of the record that it is cut from, s. */
  readonly record: number;
  /** Darkest lit level commanded in the window, relative to full light; null where all is dark. */
  readonly lowest: number | null;
  readonly lamp: Lamp;
}

/** Every criterion of a condition with each capture that it will be judged by. Channels that are alike are told once. */
export function plannedJudgements(
  { criteria }: Condition,
  plan: CapturePlan,
  rig: Rig,
  lamp: Lamp,
): readonly PlannedJudgement[] {
  const { schedule } = plan;
  const commanded = plannedLight(schedule, lamp).finish(schedule.duration);
  return criteria.flatMap((criterion) => {
    const metric = findMetric(criterion.metric);
    const window = markWindow(schedule, criterion.during);
    if (!metric || !window) return [];
    const subjects = subjectsRead(criterion, metric, lamp, commanded);
    const captures = judgedCaptures(criterion, metric, subjects, window, plan.captures);
    return withoutLikes(
      captures.map((capture) => ({
        metric,
        criterion,
        capture,
        rate: capture.kind === 'waveform' ? capture.rate : null,
        instrument: rig.instruments.find(({ name }) => name === capture.wire.instrument),
        window: window.to - window.from,
        record: capture.window.to - capture.window.from,
        lowest: lowestLit(commanded.channels, capture, window, lamp),
        lamp,
      })),
    );
  });
}

/** A metric over all channels reads each of them. */
function subjectsRead(
  criterion: Criterion,
  metric: Metric,
  lamp: Lamp,
  commanded: Commanded,
): readonly string[] {
  if (metric.needs.scope === 'all-channels') return lamp.channels.map(({ channel }) => channel);
  return judgedSubjects(criterion, metric, lamp, commanded);
}

/** One for each kind of capture and wire: of those that differ in channel and input only, the one at the darkest level. */
function withoutLikes(judgements: readonly PlannedJudgement[]): readonly PlannedJudgement[] {
  const kinds = new Map<string, PlannedJudgement>();
  for (const judgement of judgements) {
    const { id: _id, of: _of, wire, pass: _pass, ...capture } = judgement.capture;
    const { input: _input, of: _whose, ...way } = wire;
    const key = JSON.stringify({ ...capture, file: '', way });
    const known = kinds.get(key);
    if (!known || darker(judgement, known)) kinds.set(key, judgement);
  }
  return [...kinds.values()];
}

function darker(one: PlannedJudgement, other: PlannedJudgement): boolean {
  return one.lowest !== null && (other.lowest === null || one.lowest < other.lowest);
}

/** Of its channel for a current; of the mix for everything that sees the light. */
function lowestLit(
  channels: readonly CommandedChannel[],
  { signal, of }: PlannedCapture,
  window: Window,
  lamp: Lamp,
): number | null {
  const ofChannel = signals[signal].usualSubject === 'each-channel';
  const seen = ofChannel ? channels.filter(({ channel }) => channel === of) : channels;
  const full = seen.reduce((sum, { lumen }) => sum + lumen, 0);
  const instants = [window.from, window.to, ...channels.flatMap(turns)].filter(
    (at) => at >= window.from && at <= window.to,
  );
  const levels = instants.map((at) => {
    const inside = Math.min(at, window.to - 1e-9);
    const light = seen.reduce(
      (sum, channel) => sum + levelOf(channel, inside, lamp) * channel.lumen,
      0,
    );
    return light / full;
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
