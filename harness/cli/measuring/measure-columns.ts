import { didYouMean } from '../../files/did-you-mean.ts';
import {
  type CodeRange,
  clippedIn,
  clippingRange,
  type FileColumn,
  type WaveformFile,
} from '../../files/waveform-file.ts';
import { signalRecord } from '../../measure/analysis/signal-record.ts';
import type { Metric } from '../../measure/metric.ts';
import type { SignalRecord } from '../../measure/observation.ts';
import { apparentStep } from '../../measure/signal/apparent-step.ts';
import { type Signal, signalNames, signals } from '../../measure/signals.ts';
import type { Waveform } from '../../measure/waveform.ts';
import { type Dimension, siUnit } from '../../units/unit.ts';
import { findUnit } from '../../units/unit-table.ts';
import { usage } from './measure-options.ts';

/** What a metric can be asked about: a column of the file under the name that people call it by. */
export interface MeasuredColumn {
  readonly of: string;
  /** Signal that the name itself means; null where the unit and the metric decide. */
  readonly signal: Signal | null;
  readonly waveform: Waveform;
}

interface Choice {
  readonly column: string | undefined;
  readonly of: readonly string[];
  readonly unit: string | undefined;
  /** Range of the converter in the file's own unit, where the file does not say it. */
  readonly range?: CodeRange | undefined;
}

/**
 * The subjects of a file. Every column is one, called by its header; the only column is the light. `--column` reads one
 * column as if it were alone; `--of` picks subjects, or names the only one.
 */
export function measuredColumns(
  file: WaveformFile,
  { column, of, unit, range }: Choice,
): readonly MeasuredColumn[] {
  const own = column === undefined ? file.columns : [columnNamed(file, column)];
  const columns = range ? own.map((each) => withRange(each, range)) : own;
  const [only, ...others] = columns;
  if (only && others.length === 0) {
    if (of.length > 1) throw usage(`--of: the file holds one waveform, ${of.length} were named`);
    return [measuredColumn(only, onlyName(only, of[0]), file, unit)];
  }
  const picked =
    of.length === 0 ? columns : of.map((name) => columnNamed({ ...file, columns }, name));
  return picked.map((each) => measuredColumn(each, each.name, file, unit));
}

function withRange(column: FileColumn, stated: CodeRange): FileColumn {
  const range = clippingRange(stated);
  return { ...column, range, clipped: clippedIn(column.samples, range) };
}

function columnNamed({ columns }: WaveformFile, name: string): FileColumn {
  const found = columns.find((column) => column.name === name);
  if (found) return found;
  const names = columns.map((column) => column.name);
  throw usage(
    `there is no column "${name}"${didYouMean(name, names)} (the file has ${names.join(', ')})`,
  );
}

/** A column that has a name of its own is asked for by it; one without may be called as one likes, and either by a signal. */
function onlyName(only: FileColumn, asked: string | undefined): string {
  if (asked === undefined) return aloneName(only);
  const known = [only.name, 'light', ...signalNames];
  if (unnamed.test(only.name) || known.includes(asked)) return asked;
  throw usage(
    `--of: there is no column "${asked}"${didYouMean(asked, known)} (the file has ${only.name} alone)`,
  );
}

const unnamed = /^(?:samples|(?:column|channel) \d+)$/;

/** A name that says the signal is kept: a lone `supply-current` is not the light. */
function aloneName({ name }: FileColumn): string {
  return signalNamed(name) ? name : 'light';
}

function signalNamed(name: string): Signal | null {
  return signalNames.find((signal) => signal === name) ?? null;
}

function measuredColumn(
  { name, unit: stated, samples, clipped, step, range }: FileColumn,
  of: string,
  { rate }: WaveformFile,
  asked: string | undefined,
): MeasuredColumn {
  const symbol = asked ?? stated;
  const unit = symbol === null ? undefined : findUnit(symbol);
  if (symbol !== null && !unit)
    throw usage(
      `the unit "${symbol}" of "${name}" is not known: expected lx, A or V, or give it with --unit`,
    );
  const factor = unit ? unit.factor * 10 ** unit.exponent : 1;
  const codes = step > 0 ? step : apparentStep(samples);
  const waveform: Waveform = {
    samples: factor === 1 ? samples : Float64Array.from(samples, (value) => value * factor),
    rate,
    start: 0,
    unit: unit ? siUnit[unit.dimension] : '1',
    clipped,
    ...(codes > 0 && { step: codes * factor }),
    ...(range && { range: { low: range.low * factor, high: range.high * factor } }),
  };
  return { of, signal: signalOf([of, name], unit?.dimension), waveform };
}

/** The signal that a name says, unless the unit says that it is another. */
function signalOf(names: readonly string[], dimension: Dimension | undefined): Signal | null {
  const [named] = names.flatMap((name) => signalNamed(name) ?? []);
  if (named === undefined || dimension === undefined) return named ?? null;
  return signals[named].dimensions.includes(dimension) ? named : null;
}

/** The subjects as records that a metric can find: each as the first of its signals that the unit allows; without one, it may be any. */
export function recordsFor({ needs }: Metric, subjects: readonly MeasuredColumn[]): SignalRecord[] {
  return subjects.flatMap(({ of, signal, waveform }) => {
    const dimension = findUnit(waveform.unit)?.dimension;
    const allowed = needs.signals.filter((each) => {
      const { kind, dimensions } = signals[each];
      return kind === 'waveform' && (dimension === undefined || dimensions.includes(dimension));
    });
    const chosen = signal ?? allowed[0];
    return chosen ? [signalRecord({ capture: of, signal: chosen, of }, waveform)] : [];
  });
}
