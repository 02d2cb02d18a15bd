import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import writeFileAtomic from 'write-file-atomic';
import * as z from 'zod';
import type { Rig, Wire } from '../../bench/rig.ts';
import { readFigure } from '../../files/read-figure.ts';
import { findUnit } from '../../units/unit-table.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { type CalibrationTask, calibrateInput } from '../../workflow/rig/calibrate-input.ts';
import {
  type CalibrationChange,
  changeCalibration,
} from '../../workflow/rig/change-calibration.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { addRigOptions, type RigOptions, readRigFiles } from './rig-options.ts';
import { rigUse } from './rig-use.ts';

interface CalibrateOptions extends RigOptions {
  readonly signal: string;
  readonly of: string;
  readonly reference?: string;
  readonly uncertainty?: string;
  readonly lit?: boolean;
  readonly length?: string;
  readonly certificate?: string;
  readonly due?: string;
}

/** `evenfall rig calibrate dark|scale`: measures zero or scale of one input and writes it into the rig file. */
export const register: Register = (command, io) => {
  addRigOptions(command)
    .description('measure the zero or the scale of an input and write it to the rig file')
    .argument('<what>', 'dark: the zero, with everything off; scale: against a reference')
    .option('--signal <signal>', 'signal in the wiring', 'light')
    .option('--of <of>', 'channel, or all', 'all')
    .option('--reference <figure>', 'scale: reading of a calibrated instrument, such as "512 lx"')
    .option('--uncertainty <figure>', 'scale: standard uncertainty (k = 1) of the reference')
    .option('--lit', 'scale: switch the lamp on at full level first')
    .option('--length <time>', 'dark: length of the record behind the spectrum (default: 10 s)')
    .option('--certificate <id>', 'id of the certificate, for the record; needs --due')
    .option('--due <day>', 'day when the next calibration is due, YYYY-MM-DD; needs --certificate')
    .action(async (what: string, options: CalibrateOptions) => {
      io.exitCode = await calibrate(what, options, io);
    });
};

async function calibrate(what: string, options: CalibrateOptions, io: Io): Promise<number> {
  if (what !== 'dark' && what !== 'scale')
    throw new Complaint('usage', `expected dark or scale, found "${what}"`);
  const today = new Date().toISOString().slice(0, 10);
  checkCertificate(options, today);
  if (what === 'dark') refuseScaleOptions(options);
  else if (options.length !== undefined)
    throw new Complaint('usage', '--length is for dark: leave it out');
  const files = readRigFiles(options, io);
  const wire = wireOf(files.rig, options);
  const task: CalibrationTask =
    what === 'dark'
      ? { what, date: today, length: lengthOf(options) }
      : { what, reference: referenceOf(wire, options), lit: options.lit ?? false };
  const change = await calibrateInput(files, wire, task, rigUse(io, options.locks));
  const path = resolve(io.cwd, options.rig);
  const { certificate, due } = options;
  const record = { date: today, certificate, due };
  const text = changeCalibration(await readFile(path, 'utf8'), wire, change, record);
  await writeFileAtomic(path, text);
  const figures = Object.entries(change).map(([key, value]) => `${key} ${wordsOf(value)}`);
  io.stdout(`${wire.signal} of ${wire.of}: ${figures.join(', ')}; written to ${options.rig}\n`);
  return exitCodes.pass;
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

function refuseScaleOptions({ reference, uncertainty, lit }: CalibrateOptions): void {
  const given = { '--reference': reference, '--uncertainty': uncertainty, '--lit': lit };
  const [first] = Object.entries(given).find(([, value]) => value !== undefined) ?? [];
  if (first === undefined) return;
  const sentence = `${first} is for scale; dark measures the zero with everything off: leave it out`;
  throw new Complaint('usage', sentence);
}

function wireOf(rig: Rig, { signal, of }: CalibrateOptions): Wire {
  const wires = rig.wiring.filter((wire) => wire.signal === signal && wire.of === of);
  const known = rig.wiring.map((wire) => `${wire.signal} of ${wire.of}`);
  const [wire] = wires;
  if (wire && wires.length === 1) return wire;
  throw new Complaint(
    'usage',
    wire
      ? `${signal} of ${of} has ${wires.length} inputs with one scale; give each its own line in the wiring to calibrate it`
      : `rig ${rig.rig} has no input for ${signal} of ${of}; it has ${[...new Set(known)].join(', ')}`,
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
