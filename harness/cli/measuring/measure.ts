import { basename, resolve } from 'node:path';
import { type Command, Option } from 'commander';
import type { WaveformFile } from '../../files/waveform-file.ts';
import { looksClipped } from '../../measure/signal/flat-tops.ts';
import type { Waveform } from '../../measure/waveform.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { rollUp } from '../../verdict/verdict.ts';
import { exitCodeOfVerdict } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { writePage } from '../common/write-page.ts';
import { measuredColumns } from './measure-columns.ts';
import { readWaveformFile } from './measure-file.ts';
import { judgedBy, limitsOption } from './measure-limits.ts';
import { type Measurement, measureMetric, type Scene, sceneOf } from './measure-metric.ts';
import {
  checkParameterNames,
  type MeasureFlags,
  metricsOption,
  pairsOption,
  quantityOption,
  rangeOption,
  usage,
  windowOption,
} from './measure-options.ts';
import { checkSpecOptions, measureAgainstSpec } from './measure-spec.ts';
import { metricList, outcomesJson, outcomesTable } from './measure-text.ts';

/** `evenfall measure FILE`: metrics of a recorded waveform, without any rig. */
export const register: Register = (command, io) => {
  options(command).action((file: string | undefined, flags: MeasureFlags) =>
    measureFile(file, flags, io),
  );
};

const many = (text: string, earlier: readonly string[] = []) => [...earlier, text];

function options(command: Command): Command {
  command
    .argument('[file]', 'a CSV, WAV or NPY file; - for standard input')
    .option('--metric <id>', 'metric to compute, or all; repeatable', many)
    .option('--of <name>', 'subject: a column by its header; repeatable', many)
    .option('--column <name>', 'read only this column, as the light')
    .option('--rate <rate>', 'sampling rate, if the file does not state it, e.g. "10 kS/s"')
    .option('--unit <unit>', 'unit of the samples, e.g. lx, V or mA')
    .option(
      '--range <low..high>',
      "ends of the converter's range in the file's unit: samples there are clipped, and refused",
    )
    .option(
      '--dark <file>',
      "the same inputs recorded with everything dark: its mean is the zero, its noise and hum the wiring's",
    )
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
    .option('--at-most <value>', 'judge the one metric against an upper limit, as a criterion does')
    .option('--at-least <value>', 'against a lower limit')
    .option('--between <low..high>', 'against both');
  return specOptions(command)
    .option('--json', 'print the outcomes as JSON')
    .option('--list', 'list every metric with its unit, needs, parameters and source')
    .option('--page <file>', 'also write a page with pictures');
}

function specOptions(command: Command): Command {
  return command
    .option('--spec <path>', 'judge the criteria of this spec, or of the specs in this folder')
    .option('--claim <id>', 'of a folder of specs, judge this claim; repeatable', many)
    .option('--condition <key>', 'condition that the file is of, e.g. "fade-time=2 s"')
    .option('--lamp <file>', "lamp file to read the spec for (default: the project's, or Alcove-6)")
    .option('--begin <instant>', "instant at which the spec's stimulus began, on the file's axis")
    .option(
      '--mark <name=instant>',
      'where a window of the spec opens, or lies (name=from..to); repeatable',
      many,
    );
}

async function measureFile(path: string | undefined, flags: MeasureFlags, io: Io): Promise<void> {
  checkSpecOptions(flags);
  const chosen = metricsOption(flags.metric);
  if (flags.list) return io.stdout(metricList(chosen, flags.json ?? false));
  if (path === undefined)
    throw usage('expected a file: evenfall measure FILE (or --list for the metrics)');
  const set = pairsOption('set', flags.set);
  checkParameterNames(set, chosen);
  const rate = flags.rate === undefined ? undefined : rateOption(flags.rate);
  const file = await readWaveformFile(path === '-' ? path : resolve(io.cwd, path), rate);
  const choice = {
    column: flags.column,
    of: flags.of ?? [],
    unit: flags.unit,
    range: flags.range === undefined ? undefined : rangeOption(flags.range),
  };
  const subjects = measuredColumns(file, choice);
  if (file.columns.every(({ step }) => step === 0))
    for (const { of, waveform } of subjects) if (waveform.step) io.stderr(rounded(of, waveform));
  for (const { of, waveform } of subjects)
    if (waveform.clipped === 0 && looksClipped(waveform.samples)) io.stderr(suspicion(of));
  const dark =
    flags.dark === undefined
      ? undefined
      : measuredColumns(await readWaveformFile(resolve(io.cwd, flags.dark), rate), choice);
  const scene = sceneOf(file, subjects, dark, flags);
  if (flags.spec !== undefined)
    return measureAgainstSpec(file, scene, { ...flags, spec: flags.spec }, io);
  for (const name of ['during', 'reference'] as const) tellBeyond(name, flags[name], scene, io);
  const explicit = chosen.length < metricsOption().length;
  const limits = limitsOption(flags, explicit ? chosen : []);
  const measurements = chosen
    .flatMap((metric) => measureMetric(metric, scene, set, explicit))
    .map((each) => (limits ? { ...each, judged: judgedBy(each.assessed, limits) } : each));
  if (flags.page !== undefined) await measurePage(flags.page, path, file, measurements, io);
  io.stdout(flags.json ? outcomesJson(measurements) : outcomesTable(measurements, io, explicit));
  if (limits)
    io.exitCode = exitCodeOfVerdict(
      rollUp(measurements.flatMap((each) => each.judged?.verdict ?? [])),
    );
}

function rounded(of: string, { step = 0, unit }: Waveform): string {
  return `evenfall: all values of "${of}" lie on steps of ${Number(step.toPrecision(4))} ${unit}: taken for the converter's.\n`;
}

/** A window may reach beyond the record; what is left out is said. */
function tellBeyond(name: string, text: string | undefined, scene: Scene, io: Io): void {
  if (text === undefined) return;
  const { from, to } = windowOption(name, text);
  const [first, last] = [scene.start, scene.start + scene.length];
  const slack = 1e-9 * (1 + Math.abs(last));
  if (from >= first - slack && to <= last + slack) return;
  const seconds = (instant: number): string => formatQuantity(instant, 'time');
  const left = `${seconds(Math.max(from, first))} to ${seconds(Math.min(to, last))}`;
  io.stderr(
    `evenfall: --${name} reaches beyond the record, which runs from ${seconds(first)} to ${seconds(last)}: only ${left} is measured.\n`,
  );
}

function suspicion(of: string): string {
  return `evenfall: "${of}" looks clipped: its extreme value stands still again and again while all others move. State the converter's range with --range, or record with less gain.\n`;
}

async function measurePage(
  page: string,
  path: string,
  { format, rate, columns }: WaveformFile,
  measurements: readonly Measurement[],
  io: Io,
): Promise<void> {
  const { renderMeasurePage } = await import('./measure-page.ts');
  const samples = columns[0]?.samples.length ?? 0;
  const names = columns.map(({ name }) => name).join(', ');
  const about = `${format} with ${names}: ${samples} samples at ${formatQuantity(rate, 'frequency')}, ${formatQuantity(samples / rate, 'time')}`;
  await writePage(page, renderMeasurePage({ name: basename(path), about }, measurements), io);
}

function rateOption(text: string): number {
  const rate = quantityOption('rate', text, 'frequency');
  if (!(rate > 0)) throw usage(`--rate: expected a rate above 0 Hz, found "${text}"`);
  return rate;
}
