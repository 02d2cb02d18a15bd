import { readFile } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { Command } from 'commander';
import writeFileAtomic from 'write-file-atomic';
import * as z from 'zod';
import { BenchError } from '../../bench/errors.ts';
import type { Digitiser, LampTarget, OpenBench } from '../../bench/ports.ts';
import type { Rig, Wire } from '../../bench/rig.ts';
import { readFigure } from '../../files/read-figure.ts';
import { powerUp } from '../../run/condition/power-up.ts';
import { linkOf } from '../../run/condition/stimulus.ts';
import { findUnit } from '../../units/unit-table.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { makeBenchSafe } from '../../workflow/rig/rig-safe.ts';
import { takeRig, unreachable } from '../../workflow/rig/take-rig.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { type CalibrationChange, changeCalibration } from './change-calibration.ts';
import { type RigOptions, readRigFiles } from './rig-files.ts';
import { rigUse } from './rig-news.ts';

interface CalibrateOptions extends RigOptions {
  readonly signal: string;
  readonly of: string;
  readonly reference?: string;
  readonly uncertainty?: string;
  readonly lit?: boolean;
  readonly certificate?: string;
  readonly due?: string;
}

/** The record behind a calibration: this many pieces of a second tell how well its mean is known. */
const pieces = 10;
const usualRate = 10_000;

/** `evenfall rig calibrate dark|scale`: measures zero or scale of one input and writes it into the rig file. */
export function register(command: Command, io: Io): void {
  command
    .description('measure the zero or the scale of an input and write it to the rig file')
    .argument('<what>', 'dark: the zero, with everything off; scale: against a reference')
    .requiredOption('--rig <file>', 'rig file; its comments are kept')
    .option('--lamp <file>', 'lamp file (default: Alcove-6)')
    .option('--signal <signal>', 'signal in the wiring', 'light')
    .option('--of <of>', 'channel, or all', 'all')
    .option('--reference <figure>', 'scale: what a calibrated instrument shows, as in "512 lx"')
    .option('--uncertainty <figure>', 'scale: standard uncertainty (k = 1) of the reference')
    .option('--lit', 'scale: switch the lamp on at full level first')
    .option('--certificate <id>', 'id of the certificate, for the record; with --due')
    .option('--due <day>', 'day when the next calibration is due, YYYY-MM-DD; with --certificate')
    .action(async (what: string, options: CalibrateOptions) => {
      io.exitCode = await calibrate(what, options, io);
    });
}

async function calibrate(what: string, options: CalibrateOptions, io: Io): Promise<number> {
  if (what !== 'dark' && what !== 'scale')
    throw new Complaint('usage', `expected dark or scale, found "${what}"`);
  const today = new Date().toISOString().slice(0, 10);
  checkPaper(options, today);
  if (what === 'dark') refuseReference(options);
  const files = readRigFiles(options, io);
  const wire = wireOf(files.rig, options);
  const reference = what === 'scale' ? referenceOf(wire, options) : null;
  const { to, bench, leave } = await takeRig(files, rigUse(io));
  let change: CalibrationChange;
  try {
    if (what === 'scale' && options.lit) await lightUp(bench, files, io);
    else if (what === 'dark') await makeBenchSafe(bench, to);
    const { mean, standard } = await measure(bench, wire, io);
    change = reference
      ? scaleChange(wire, mean, standard, reference)
      : darkChange(wire, mean, standard);
  } catch (error) {
    throw error instanceof BenchError ? unreachable(error) : error;
  } finally {
    await makeBenchSafe(bench, to);
    await bench.close();
    await leave();
  }
  const path = resolve(io.cwd, options.rig);
  const text = await readFile(path, 'utf8');
  const { certificate, due } = options;
  const record = { date: today, certificate, due };
  await writeFileAtomic(path, changeCalibration(text, wire, change, record));
  io.stdout(
    `${wire.signal} of ${wire.of}: ${Object.entries(change)
      .map(([key, value]) => `${key} ${value}`)
      .join(', ')}; written to ${options.rig}\n`,
  );
  return exitCodes.pass;
}

/** A rig file with half a calibration, or with one that is due before it was made, could not be read again. */
function checkPaper({ certificate, due }: CalibrateOptions, today: string): void {
  if ((certificate === undefined) !== (due === undefined)) {
    const [given, missing] = due ? ['--due', '--certificate'] : ['--certificate', '--due'];
    throw new Complaint('usage', `${given} needs ${missing} beside it: give both or none`);
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

function refuseReference({ reference, uncertainty, lit }: CalibrateOptions): void {
  const given = { '--reference': reference, '--uncertainty': uncertainty, '--lit': lit };
  const [first] = Object.entries(given).find(([, value]) => value !== undefined) ?? [];
  if (first === undefined) return;
  const sentence = `${first} goes with scale; dark measures the zero with everything off: leave it out`;
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
      : `rig ${rig.rig} has no input for ${signal} of ${of}; it has: ${[...new Set(known)].join(', ')}`,
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

async function lightUp(
  bench: OpenBench,
  { rig, lamp }: ReturnType<typeof readRigFiles>,
  io: Io,
): Promise<void> {
  await powerUp(bench, rig, lamp, io.interrupted);
  const link = linkOf({ bench, rig }, undefined);
  const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
  const full: LampTarget = { level: 1, intensities };
  await link.set(full, { signal: io.interrupted, deadline: 5 });
}

/** Mean voltage of one second, and its standard uncertainty from the scatter of its pieces. */
async function measure(
  bench: OpenBench,
  wire: Wire,
  io: Io,
): Promise<{ readonly mean: number; readonly standard: number }> {
  const digitiser = bench.instruments.get(wire.instrument);
  if (digitiser?.kind !== 'digitiser')
    throw new Complaint(
      'usage',
      `${wire.instrument} is no digitiser; enter its calibration by hand`,
    );
  const rate = Math.min(usualRate, (digitiser as Digitiser).capabilities.highestRate);
  const setup = { inputs: [{ input: wire.input }], rate, duration: 1 };
  const call = { signal: io.interrupted, deadline: 10 };
  const [record] = await (await digitiser.arm(setup, call)).finished;
  const { codes, scale, offset } = record!;
  const length = Math.floor(codes.length / pieces);
  const means = Array.from({ length: pieces }, (_, piece) => {
    let sum = 0;
    for (let at = piece * length; at < (piece + 1) * length; at++) sum += codes[at]!;
    return (sum / length) * scale + offset;
  });
  const mean = means.reduce((a, b) => a + b, 0) / pieces;
  const variance = means.reduce((sum, each) => sum + (each - mean) ** 2, 0) / (pieces - 1);
  // A record that never moves is known no better than its step.
  const step = Math.abs(scale) / Math.sqrt(12);
  return { mean, standard: Math.max(Math.sqrt(variance / pieces), step / Math.sqrt(pieces)) };
}

function darkChange(wire: Wire, mean: number, standard: number): CalibrationChange {
  return {
    offset: `${short(mean)} V`,
    'standard-offset': `${short(standard * Math.abs(wire.scale))} ${wire.unit}`,
  };
}

function scaleChange(
  wire: Wire,
  mean: number,
  standard: number,
  reference: { readonly value: number; readonly standard: number },
): CalibrationChange {
  const volts = mean - wire.offset;
  if (Math.abs(volts) < 10 * standard)
    throw new Complaint(
      'bench',
      `expected a voltage well above noise at input ${wire.input}, found ${short(volts)} V (standard uncertainty ${short(standard)} V); is the light on?`,
    );
  const relative = Math.hypot(reference.standard / reference.value, standard / volts);
  return {
    scale: `${short(reference.value / volts)} ${wire.unit}/V`,
    'standard-scale': `${short(relative * 100)} %`,
  };
}

/** Six digits, without exponent. */
function short(value: number): string {
  const rounded = Number(value.toPrecision(6));
  const text = String(rounded);
  return text.includes('e') ? rounded.toFixed(12).replace(/0+$/, '') : text;
}
