import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import * as z from 'zod';
import type { Rig, Wire } from '../../bench/rig.ts';
import { readFigure } from '../../files/read-figure.ts';
import { findUnit } from '../../units/unit-table.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { RigFiles } from '../../workflow/rig/acquire-rig.ts';
import {
  type Calibrated,
  type CalibrationTask,
  calibrateInput,
} from '../../workflow/rig/calibrate-input.ts';
import { addToHistory, type CalibrationEntry } from '../../workflow/rig/calibration-history.ts';
import {
  type CalibrationChange,
  changeCalibration,
} from '../../workflow/rig/change-calibration.ts';
import { figureText } from '../../workflow/rig/figure-text.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { calibrateTimingOf, type TimingOptions } from './rig-calibrate-timing.ts';
import { addRigOptions, readRigFiles } from './rig-options.ts';
import { rigUse } from './rig-use.ts';

interface CalibrateOptions extends TimingOptions {
  readonly signal: string;
  readonly of: string;
  readonly reference?: string;
  readonly uncertainty?: string;
  readonly lit?: boolean;
  readonly acceptJump?: boolean;
  readonly referenceSerial?: string;
  readonly operator?: string;
  readonly environment?: string;
  readonly length?: string;
  readonly certificate?: string;
  readonly due?: string;
}

/** `evenfall rig calibrate dark|scale|timing`: measures zero or scale of one input, or how late commands are, and writes it into the rig file. */
export const register: Register = (command, io) => {
  addRigOptions(command)
    .description(
      'measure the zero or the scale of an input, or how late commands are, and write it to the rig file',
    )
    .argument(
      '<what>',
      'dark: the zero, with everything off; scale: against a reference; timing: when commands show in the records (the light jumps about twice a second: see the caution in README.md)',
    )
    .option('--signal <signal>', 'signal in the wiring', 'light')
    .option('--of <of>', 'channel, all, or (dark) each', 'all')
    .option('--reference <figure>', 'scale: reading of a calibrated instrument, such as "512 lx"')
    .option('--uncertainty <figure>', 'scale: standard uncertainty (k = 1) of the reference')
    .option('--reference-serial <text>', 'scale: maker, model and serial number of the reference')
    .option('--accept-jump', 'scale: take a scale that is far from the one before')
    .option('--operator <name>', 'who calibrates, for the history (default: EVENFALL_OPERATOR)')
    .option('--environment <text>', 'temperature, humidity and the like, for the history')
    .option('--lit', 'scale: switch the lamp on at full level first')
    .option('--length <time>', 'dark: length of the record behind the spectrum (default: 10 s)')
    .option('--link <link>', 'timing: this link alone (default: every link of the rig)')
    .option('--edges <number>', 'timing: so many jumps on each link, in tens (default: 100)')
    .option('--latency <time>', 'timing: known latency of the lamp, where no sync pin is wired')
    .option('--certificate <id>', 'id of the certificate, for the record; needs --due')
    .option('--due <day>', 'day when the next calibration is due, YYYY-MM-DD; needs --certificate')
    .action(async (what: string, options: CalibrateOptions) => {
      io.exitCode = await calibrate(what, options, io);
    });
};

async function calibrate(what: string, options: CalibrateOptions, io: Io): Promise<number> {
  const today = new Date().toISOString().slice(0, 10);
  if (what === 'timing') return calibrateTimingOf(options, today, io);
  if (what !== 'dark' && what !== 'scale')
    throw new Complaint('usage', `expected dark, scale or timing, found "${what}"`);
  checkCertificate(options, today);
  if (what === 'dark') refuseScaleOptions(options);
  else if (options.length !== undefined)
    throw new Complaint('usage', '--length is for dark: leave it out');
  const files = readRigFiles(options, io);
  for (const wire of calibratedWires(files, what, options)) {
    const task = taskOf(what, wire, options, today);
    const calibrated = await calibrateInput(files, wire, task, rigUse(io, options.locks));
    await writeDown({ files, wire, task, calibrated }, options, io);
  }
  return exitCodes.pass;
}

function taskOf(
  what: 'dark' | 'scale',
  wire: Wire,
  options: CalibrateOptions,
  date: string,
): CalibrationTask {
  if (what === 'dark') return { what, date, length: lengthOf(options) };
  const { lit = false, acceptJump = false } = options;
  return { what, reference: referenceOf(wire, options), lit, acceptJump };
}

/** Into the history first: a figure in the rig file that nobody can trace is worse than an entry too many. */
async function writeDown(
  done: {
    readonly files: RigFiles;
    readonly wire: Wire;
    readonly task: CalibrationTask;
    readonly calibrated: Calibrated;
  },
  options: CalibrateOptions,
  io: Io,
): Promise<void> {
  const { files, wire, calibrated } = done;
  const { change } = calibrated;
  const path = resolve(io.cwd, options.rig);
  const now = new Date().toISOString();
  const { certificate, due } = options;
  const record = { date: now.slice(0, 10), certificate, due };
  const channels = files.lamp.channels.map(({ channel }) => channel);
  const text = changeCalibration(await readFile(path, 'utf8'), wire, change, record, channels);
  const history = await addToHistory(path, historyEntry(done, options, { now, env: io.env }));
  await writeFileAtomic(path, text).catch((error: Error) => {
    const sentence = `${options.rig} cannot be written: ${error.message}; the figures are in ${history}`;
    throw new Complaint('cannot-create', sentence, { cause: error });
  });
  const figures = Object.entries(change).map(([key, value]) => `${key} ${wordsOf(value)}`);
  io.stdout(`${wire.signal} of ${wire.of}: ${figures.join(', ')}; written to ${options.rig}\n`);
}

function historyEntry(
  {
    wire,
    task,
    calibrated,
  }: { readonly wire: Wire; readonly task: CalibrationTask; readonly calibrated: Calibrated },
  options: CalibrateOptions,
  { now, env }: { readonly now: string; readonly env: Io['env'] },
): CalibrationEntry {
  const { found, left, standard, change } = calibrated;
  const { unit, scale, offset, signal, of, instrument, input } = wire;
  const figure = (value: number): string => `${figureText(value)} ${unit}`;
  const { certificate, due, reference, uncertainty, referenceSerial, environment } = options;
  const operator = options.operator ?? env['EVENFALL_OPERATOR'];
  return {
    at: now,
    what: task.what,
    ...{ signal, of, instrument, input },
    'as-found': {
      scale: `${figureText(scale)} ${unit}/V`,
      offset: `${figureText(offset)} V`,
      reads: figure(found),
      error: figure(found - left),
    },
    'as-left': {
      scale: change.scale ?? `${figureText(scale)} ${unit}/V`,
      offset: change.offset ?? `${figureText(offset)} V`,
      reads: figure(left),
      standard: figure(standard),
    },
    ...(reference !== undefined && {
      reference: {
        reading: reference,
        uncertainty: uncertainty ?? '',
        ...(referenceSerial !== undefined && { serial: referenceSerial }),
      },
    }),
    ...(certificate !== undefined && due !== undefined && { certificate, due }),
    ...(operator !== undefined && { operator }),
    ...(environment !== undefined && { environment }),
  };
}

/** s */
function lengthOf({ length = '10 s' }: CalibrateOptions): number {
  const read = readFigure(length, 'time', { least: 0.1, most: 600 });
  if ('value' in read) return read.value;
  throw new Complaint('usage', `--length: ${read.problem}`);
}

/** `noise 20 mlx, lines 50 Hz 1 mlx` */
function wordsOf(value: NonNullable<CalibrationChange[keyof CalibrationChange]>): string {
  if (typeof value === 'string') return value;
  const { noise, corner, drift, lines = [] } = value;
  const hum = lines.map(({ frequency, amplitude }) => `${amplitude} at ${frequency}`);
  return [
    `noise ${noise}`,
    corner === undefined ? '' : `falling with frequency below ${corner}`,
    drift === undefined ? '' : `drift ${drift}`,
    hum.length === 0 ? 'no lines' : `lines ${hum.join(', ')}`,
  ]
    .filter((part) => part !== '')
    .join(', ');
}

/** A rig file with half a calibration, or with one that is due before it was made, could not be read again. */
function checkCertificate({ certificate, due }: CalibrateOptions, today: string): void {
  if ((certificate === undefined) !== (due === undefined)) {
    const [given, missing] = due ? ['--due', '--certificate'] : ['--certificate', '--due'];
    throw new Complaint('usage', `${given} needs ${missing}: give both or neither`);
  }
  if (due === undefined) return;
  if (!isDay(due) || due < today)
    throw new Complaint(
      'usage',
      `--due: expected a day as YYYY-MM-DD, not before ${today}, found "${due}"`,
    );
}

function isDay(text: string): boolean {
  return z.iso.date().safeParse(text).success;
}

function refuseScaleOptions(options: CalibrateOptions): void {
  const given = {
    '--reference': options.reference,
    '--uncertainty': options.uncertainty,
    '--reference-serial': options.referenceSerial,
    '--lit': options.lit,
    '--accept-jump': options.acceptJump,
  };
  const [first] = Object.entries(given).find(([, value]) => value !== undefined) ?? [];
  if (first === undefined) return;
  const sentence = `${first} is for scale; dark measures the zero with everything off: leave it out`;
  throw new Complaint('usage', sentence);
}

/** The wires that are calibrated, each under the name of its channel. */
function calibratedWires(
  { rig, lamp }: RigFiles,
  what: 'dark' | 'scale',
  { signal, of }: CalibrateOptions,
): readonly Wire[] {
  const own = rig.wiring.filter((wire) => wire.signal === signal);
  const exact = own.filter((wire) => wire.of === of);
  if (of !== 'each' && exact.length === 1) return exact;
  const each = own.filter((wire) => wire.of === 'each');
  const channels = lamp.channels.map(({ channel }) => channel);
  const byChannel = each.length >= channels.length;
  const named = each
    .slice(0, channels.length)
    .map((wire, index) => ({ ...wire, of: channels[index] ?? '' }));
  if (of === 'each' && byChannel && what === 'dark') return named;
  const [channel] = byChannel ? named.filter((wire) => wire.of === of) : [];
  if (channel) return [channel];
  throw noWire(rig, signal, of, each.length);
}

function noWire({ rig, wiring }: Rig, signal: string, of: string, inputs: number): Complaint {
  const known = wiring.map((wire) => `${wire.signal} of ${wire.of}`);
  return new Complaint(
    'usage',
    of === 'each' && inputs > 0
      ? `${signal} of each has ${inputs} inputs, each with a reference of its own: calibrate the scale of one channel at a time with --of CHANNEL, where each channel has an input`
      : `rig ${rig} has no input for ${signal} of ${of}; it has ${[...new Set(known)].join(', ')}`,
  );
}

function referenceOf(
  { unit }: Wire,
  { reference, uncertainty }: CalibrateOptions,
): { readonly value: number; readonly standard: number } {
  const figure = (option: string, text: string | undefined): number => {
    const dimension = findUnit(unit)?.dimension;
    const read = dimension && text !== undefined ? readFigure(text, dimension) : null;
    if (read && 'value' in read && read.value > 0) return read.value;
    const why = read && 'problem' in read ? read.problem : `expected a figure in ${unit} above 0`;
    throw new Complaint('usage', `--${option}: ${why}`);
  };
  return { value: figure('reference', reference), standard: figure('uncertainty', uncertainty) };
}
