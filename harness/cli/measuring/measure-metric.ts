import type { WaveformFile } from '../../files/waveform-file.ts';
import { duration } from '../../measure/analysis/waveform-part.ts';
import type { Metric } from '../../measure/metric.ts';
import type { Observation, Window } from '../../measure/observation.ts';
import { type NotMeasurable, notMeasurable } from '../../measure/outcome.ts';
import { qualified } from '../../measure/qualified.ts';
import { signals } from '../../measure/signals.ts';
import { assess } from '../../verdict/assess.ts';
import type { Assessed } from '../../verdict/uncertainty.ts';
import { calibrationOption, type StatedCalibration } from './measure-calibration.ts';
import { type MeasuredColumn, recordsFor } from './measure-columns.ts';
import { commandedOf, commandOption, type StatedCommand } from './measure-commanded.ts';
import { withDark } from './measure-dark.ts';
import type { JudgedBy } from './measure-limits.ts';
import {
  type MeasureFlags,
  parameterValues,
  quantityOption,
  usage,
  windowOption,
} from './measure-options.ts';

/** One metric of one subject, and what came of it. */
export interface Measurement {
  readonly metric: Metric;
  readonly of: string;
  readonly assessed: Assessed;
  /** What the metric lacks, of the record or of what was said of it; absent where it could be computed, or was not. */
  readonly lacks?: 'record' | 'fade' | 'reference' | 'parameter';
  /** Where a limit was given. */
  readonly judged?: JudgedBy;
}

/** Everything that is the same for all metrics of one call. */
export interface Scene {
  readonly subjects: readonly MeasuredColumn[];
  readonly length: number;
  readonly start: number;
  readonly window: Window;
  readonly reference: Window | undefined;
  readonly command: StatedCommand;
  readonly curve: { readonly kind: 'logarithmic' | 'linear'; readonly bottom: number };
  readonly calibration: StatedCalibration;
  readonly coverageFactor: number;
}

export function sceneOf(
  file: WaveformFile,
  recorded: readonly MeasuredColumn[],
  dark: readonly MeasuredColumn[] | undefined,
  flags: MeasureFlags,
): Scene {
  const stated = calibrationOption(flags.calibration);
  const { subjects, calibration } = dark
    ? withDark(recorded, dark, stated)
    : { subjects: recorded, calibration: stated };
  const [first] = subjects;
  const length = first ? duration(first.waveform) : 0;
  const { start } = file;
  const onTimeLine = (name: string, text: string | undefined): Window | undefined => {
    if (text === undefined) return undefined;
    const { from, to } = windowOption(name, text);
    if (to <= start || from >= start + length)
      throw usage(
        `--${name}: the record runs from ${start} s to ${start + length} s, found "${text}"`,
      );
    return { from: Math.max(0, from - start), to: Math.min(length, to - start) };
  };
  const coverageFactor = quantityOption('coverage', flags.coverage ?? '2', 'number');
  if (!(coverageFactor > 0))
    throw usage(`--coverage: expected a number above 0, found "${flags.coverage}"`);
  return {
    subjects,
    length,
    start,
    window: onTimeLine('during', flags.during) ?? { from: 0, to: length },
    reference: onTimeLine('reference', flags.reference),
    command: commandOption(flags),
    curve: {
      kind: flags.curve === 'linear' ? 'linear' : 'logarithmic',
      bottom: quantityOption('bottom', flags.bottom ?? '0.1 %', 'ratio'),
    },
    calibration,
    coverageFactor,
  };
}

export function measureMetric(
  plain: Metric,
  scene: Scene,
  set: ReadonlyMap<string, string>,
  explicit: boolean,
): Measurement[] {
  const { values, missing } = parameterValues(plain, set);
  const metric = qualified(plain, values);
  if (missing.length > 0 && explicit)
    throw usage(
      `${metric.id} needs ${missing.map((name) => `--set ${name}=…`).join(' ')} (evenfall measure --list --metric ${metric.id} says what)`,
    );
  const records = recordsFor(metric, scene.subjects);
  return namesFor(metric, scene.subjects).map((of) => {
    const unset = missing.length > 0 && {
      lacks: 'parameter' as const,
      outcome: notMeasurable('out-of-domain', { note: `${missing.join(', ')} must be set` }),
    };
    const refused = unset || withoutContext(metric, scene);
    if (refused) {
      const { lacks, outcome } = refused;
      return { metric, of, assessed: { outcome, captures: [] }, lacks };
    }
    const observation: Observation = {
      of,
      window: scene.window,
      ...(scene.reference && { reference: scene.reference }),
      records,
      colour: [],
      frames: [],
      commanded: commandedOf({
        ...scene,
        subjects: scene.subjects.map((subject) => subject.of),
        duration: scene.length,
      }),
      parameters: values,
    };
    const calibration = records.map((record) => scene.calibration(record));
    const assessed = assess(metric, observation, calibration, scene.coverageFactor);
    const isElsewhere = !assessed.outcome.measured && assessed.outcome.reason === 'no-record';
    return { metric, of, assessed, ...(isElsewhere && { lacks: 'record' as const }) };
  });
}

/** A metric over all channels speaks of the lamp; so does one that no waveform can serve. */
function namesFor(metric: Metric, subjects: readonly MeasuredColumn[]): readonly string[] {
  const ofLamp = metric.needs.scope === 'all-channels' || !readsWaveforms(metric);
  return ofLamp ? ['lamp'] : subjects.map(({ of }) => of);
}

/** No waveform file can serve a metric that reads something else. */
export function readsWaveforms({ needs }: Metric): boolean {
  return needs.signals.some((signal) => signals[signal].kind === 'waveform');
}

/** What a metric must be told, and was not. */
function withoutContext(
  metric: Metric,
  { command, reference }: Scene,
): (Required<Pick<Measurement, 'lacks'>> & { readonly outcome: NotMeasurable }) | null {
  const { needs } = metric;
  if (!readsWaveforms(metric)) {
    const note = `a waveform file holds no ${needs.signals.join(' and no ') || 'answers of a lamp'}`;
    return { lacks: 'record', outcome: notMeasurable('no-record', { note }) };
  }
  if (needs.fade && command.kind !== 'fade') {
    const note = 'say what was commanded: --from, --to, --over and --at';
    return { lacks: 'fade', outcome: notMeasurable('no-fade', { note }) };
  }
  if (needs.reference && !reference) {
    const note = 'say where full light is: --reference';
    return { lacks: 'reference', outcome: notMeasurable('no-reference', { note }) };
  }
  return null;
}
