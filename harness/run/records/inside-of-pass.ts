import type { Lamp } from '../../bench/lamp.ts';
import type { InsideLamp, OpenBench } from '../../bench/ports.ts';
import type { Commanded } from '../../measure/observation.ts';
import { signalNames, signals, type WaveformSignal } from '../../measure/signals.ts';
import { captureFile } from '../../plan/captures/capture-id.ts';
import { planCaptures } from '../../plan/captures/plan-captures.ts';
import type { PlannedWaveform } from '../../plan/captures/planned-capture.ts';
import type { ConditionRecord } from '../../record/run-record.ts';
import type { ConditionTask } from '../engine/lane.ts';
import { scaled } from '../take/waveform-starts.ts';
import { type HeardPass, heardPass } from './heard-pass.ts';
import { type RawRecord, rawRecord } from './raw-record.ts';

export type DrivesOfPass = NonNullable<ConditionRecord['drives']>;

/** Hz: it shows every pulse of a pin, and light and currents tick by tick. */
const usualRate = 20e3;
/** Samples of all signals of a pass together; of a longer one the rate is lower. */
const mostSamples = 4e6;

interface PassOf {
  /** When the condition began, s on the bench's clock. */
  readonly zero: number;
  readonly solo: string | null;
  /** Counted from 0. */
  readonly pass: number;
}

/** What was recorded of a pass beside everything that its claim asks for. */
export interface InsideOfPass {
  readonly drives: DrivesOfPass;
  readonly records: readonly RawRecord[];
  /** Null where it was too much to keep. */
  readonly heard: HeardPass | null;
  readonly transcript: string | null;
}

/** Everything that can be told of a pass up to now, on the condition's time line. */
export function insideOfPass(
  bench: OpenBench,
  inside: InsideLamp,
  task: ConditionTask,
  place: PassOf,
): InsideOfPass {
  const { zero, solo } = place;
  const drives = inside.drives().map(({ at, values, until, ...drive }) => ({
    ...{ solo, ...drive, values: [...values] },
    at: at.map((instant) => instant - zero),
    ...(until !== null && { until: until - zero }),
  }));
  const story: Commanded = { channels: [], marks: [], duration: 0, curve: task.lamp.curve };
  const { rig, condition } = task;
  const heard = heardPass(bench, { zero, solo, rig, condition, always: true }, story);
  return {
    drives,
    records: recordsOf(inside, bench.clock.now(), task, place),
    heard,
    transcript: inside.transcript(),
  };
}

/** From the opening of the bench on, `length` s. */
function recordsOf(
  inside: InsideLamp,
  length: number,
  task: ConditionTask,
  { zero, solo, pass }: PassOf,
): RawRecord[] {
  const wanted = waveformsOf(task).filter(
    ({ of }) => solo === null || of === solo || !isOfChannel(of, task),
  );
  const rate = Math.min(usualRate, mostSamples / (wanted.length * length));
  return wanted.map(({ id, signal, of, wire, rate: fitting }) => {
    const used = fitting * Math.min(1, rate / usualRate);
    const samples = Math.floor(length * used);
    const raw = inside.record(wire, of, { start: 0, rate: used, samples });
    const name = `inside-${id}${pass > 0 ? `-${pass + 1}` : ''}`;
    const file = captureFile(task.position, name);
    const identity = { id: name, signal, of, wire, taken: 'alongside' as const, file };
    return rawRecord(identity, scaled(raw, wire, zero));
  });
}

function isOfChannel(of: string, { lamp }: ConditionTask): boolean {
  return lamp.channels.some(({ channel }) => channel === of);
}

/** Every waveform that the lamp has and a wire of the rig carries. */
function waveformsOf({
  condition: { stimulus },
  lamp,
  rig,
  position,
}: ConditionTask): PlannedWaveform[] {
  const captures = signalNames
    .filter((signal): signal is WaveformSignal => signals[signal].kind === 'waveform')
    .filter((signal) => has(lamp, signal))
    .map((signal) => ({ signal, of: signals[signal].usualSubject, rate: usualRate }));
  return planCaptures({ stimulus, captures }, { lamp, rig, position }).captures.filter(
    (capture) => capture.kind === 'waveform',
  );
}

function has({ supply }: Lamp, signal: WaveformSignal): boolean {
  return !signal.startsWith('mains-') || supply.kind === 'mains';
}
