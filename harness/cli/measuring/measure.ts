import { basename, resolve } from 'node:path';
import { type Command as Cli, Option } from 'commander';
import type { WaveformFile } from '../../files/waveform-file.ts';
import { duration } from '../../measure/analysis/waveform-part.ts';
import type { Metric } from '../../measure/metric.ts';
import type { Observation, Window } from '../../measure/observation.ts';
import { type NotMeasurable, notMeasurable } from '../../measure/outcome.ts';
import { signals } from '../../measure/signals.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { assess } from '../../verdict/assess.ts';
import type { Assessed } from '../../verdict/uncertainty.ts';
import type { Io, Register } from '../common/io.ts';
import { writePage } from '../common/write-page.ts';
import { calibrationOption, type StatedCalibration } from './measure-calibration.ts';
import { type MeasuredColumn, measuredColumns, recordsFor } from './measure-columns.ts';
import { type Command, commandedOf, commandOption } from './measure-commanded.ts';
import { readWaveformFile } from './measure-file.ts';
import {
  checkParameterNames,
  type MeasureFlags,
  metricsOption,
  pairsOption,
  parameterValues,
  quantityOption,
  usage,
  windowOption,
} from './measure-options.ts';
import { metricList, outcomesJson, outcomesTable } from './measure-text.ts';

/** One metric of one subject, and what came of it. */
export interface Measurement {
  readonly metric: Metric;
  readonly of: string;
  readonly assessed: Assessed;
}

/** `evenfall measure FILE`: metrics of a recorded waveform, without any rig. */
export const register: Register = (command, io) => {
  options(command).action((file: string | undefined, flags: MeasureFlags) =>
    measureFile(file, flags, io),
  );
};

function options(command: Cli): Cli {
  const many = (text: string, earlier: readonly string[] = []) => [...earlier, text];
  return command
    .argument('[file]', 'a CSV, WAV or NPY file; - for standard input')
    .option('--metric <id>', 'metric to compute, or all; repeatable', many)
    .option('--of <name>', 'subject: a column by its header; repeatable', many)
    .option('--column <name>', 'read only this column, as the light')
    .option('--rate <rate>', 'sampling rate, if the file does not state it, e.g. "10 kS/s"')
    .option('--unit <unit>', 'unit of the samples, e.g. lx, V or mA')
    .option('--set <name=value>', 'parameter of a metric; repeatable', many)
    .option('--during <from..to>', 'window to look at, e.g. "1 s..3 s"')
    .option('--reference <from..to>', 'reference window, e.g. at full light')
    .option('--from <level>', 'commanded fade: its first level')
    .option('--to <level>', 'its last level')
    .option('--over <time>', 'its duration')
    .option('--at <instant>', 'instant of the command, on the time axis of the file')
    .option('--level <level>', 'steady level commanded in the window, relative to the reference')
    .addOption(
      new Option('--curve <kind>', 'dimming curve of the lamp')
        .choices(['logarithmic', 'linear'])
        .default('logarithmic'),
    )
    .option('--bottom <level>', 'lowest level of the dimming curve', '0.1 %')
    .option(
      '--calibration <name=value>',
      'standard uncertainty of scale, offset, noise or time-base; repeatable',
      many,
    )
    .option('--coverage <k>', 'coverage factor of the expanded uncertainty', '2')
    .option('--json', 'print the outcomes as JSON')
    .option('--list', 'list every metric with its unit, needs, parameters and source')
    .option('--page <file>', 'also write a page with pictures');
}

async function measureFile(path: string | undefined, flags: MeasureFlags, io: Io): Promise<void> {
  const chosen = metricsOption(flags.metric);
  if (flags.list) return io.stdout(metricList(chosen, flags.json ?? false));
  if (path === undefined)
    throw usage('expected a file: evenfall measure FILE (or --list for the metrics)');
  const set = pairsOption('set', flags.set);
  checkParameterNames(set, chosen);
  const rate = flags.rate === undefined ? undefined : rateOption(flags.rate);
  const file = await readWaveformFile(path === '-' ? path : resolve(io.cwd, path), rate);
  const subjects = measuredColumns(file, {
    column: flags.column,
    of: flags.of ?? [],
    unit: flags.unit,
  });
  const scene = sceneOf(file, subjects, flags);
  const explicit = chosen.length < metricsOption().length;
  const measurements = chosen.flatMap((metric) => measureMetric(metric, scene, set, explicit));
  if (flags.page !== undefined) await measurePage(flags.page, path, file, measurements, io);
  io.stdout(flags.json ? outcomesJson(measurements) : outcomesTable(measurements, io));
}

async function measurePage(
  page: string,
  path: string,
  { format, rate, columns }: WaveformFile,
  measurements: readonly Measurement[],
  io: Io,
): Promise<void> {
  const { renderMeasurePage } = await import('./measure-page.ts');
  const samples = columns[0]!.samples.length;
  const names = columns.map(({ name }) => name).join(', ');
  const about = `${format} with ${names}: ${samples} samples at ${formatQuantity(rate, 'frequency')}, ${formatQuantity(samples / rate, 'time')}`;
  await writePage(page, renderMeasurePage({ name: basename(path), about }, measurements), io);
}

function rateOption(text: string): number {
  const rate = quantityOption('rate', text, 'frequency');
  if (!(rate > 0)) throw usage(`--rate: expected a rate above 0 Hz, found "${text}"`);
  return rate;
}

/** Everything that is the same for all metrics of one call. */
interface Scene {
  readonly subjects: readonly MeasuredColumn[];
  readonly length: number;
  readonly start: number;
  readonly window: Window;
  readonly reference: Window | undefined;
  readonly command: Command;
  readonly curve: { readonly kind: 'logarithmic' | 'linear'; readonly bottom: number };
  readonly calibration: StatedCalibration;
  readonly coverageFactor: number;
}

function sceneOf(
  file: WaveformFile,
  subjects: readonly MeasuredColumn[],
  flags: MeasureFlags,
): Scene {
  const length = duration(subjects[0]!.waveform);
  const { start } = file;
  const onTimeLine = (name: string, text: string | undefined): Window | undefined => {
    if (text === undefined) return undefined;
    const { from, to } = windowOption(name, text);
    if (to <= start || from >= start + length)
      throw usage(
        `--${name}: the record runs from ${start} s to ${start + length} s, found "${text}"`,
      );
    return { from: from - start, to: to - start };
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
    calibration: calibrationOption(flags.calibration),
    coverageFactor,
  };
}

function measureMetric(
  metric: Metric,
  scene: Scene,
  set: ReadonlyMap<string, string>,
  explicit: boolean,
): Measurement[] {
  const { values, missing } = parameterValues(metric, set);
  if (missing.length > 0 && explicit)
    throw usage(
      `${metric.id} needs ${missing.map((name) => `--set ${name}=…`).join(' ')} (evenfall measure --list --metric ${metric.id} says what)`,
    );
  const records = recordsFor(metric, scene.subjects);
  return namesFor(metric, scene.subjects).map((of) => {
    const refused =
      missing.length > 0
        ? notMeasurable('out-of-domain', { note: `${missing.join(', ')} must be set` })
        : withoutContext(metric, scene);
    if (refused) return { metric, of, assessed: { outcome: refused, captures: [] } };
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
    return {
      metric,
      of,
      assessed: assess(metric, observation, calibration, scene.coverageFactor),
    };
  });
}

/** A metric over all channels speaks of the lamp; so does one that no waveform can serve. */
function namesFor(metric: Metric, subjects: readonly MeasuredColumn[]): readonly string[] {
  const ofLamp = metric.needs.scope === 'all-channels' || !readsWaveforms(metric);
  return ofLamp ? ['lamp'] : subjects.map(({ of }) => of);
}

function readsWaveforms({ needs }: Metric): boolean {
  return needs.signals.some((signal) => signals[signal].kind === 'waveform');
}

/** What a metric must be told, and was not. */
function withoutContext(metric: Metric, { command, reference }: Scene): NotMeasurable | null {
  const { needs } = metric;
  if (!readsWaveforms(metric))
    return notMeasurable('no-record', {
      note: `a waveform file holds no ${needs.signals.join(' and no ')}`,
    });
  if (needs.fade && command.kind !== 'fade')
    return notMeasurable('no-fade', {
      note: 'say what was commanded: --from, --to, --over and --at',
    });
  if (needs.reference && !reference)
    return notMeasurable('no-reference', { note: 'say where full light is: --reference' });
  return null;
}
