import { BenchError } from '../../bench/errors.ts';
import type { LampTarget, OpenBench } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import { analysisOf } from '../../measure/analysis/analysis.ts';
import { powerUp } from '../../run/condition/power-up.ts';
import { linkOf } from '../../run/condition/stimulus.ts';
import { Complaint } from '../complaint.ts';
import { acquireRig, benchComplaint, type RigFiles } from './acquire-rig.ts';
import type { CalibrationChange } from './change-calibration.ts';
import { darkSpectrum } from './dark-spectrum.ts';
import { figureText } from './figure-text.ts';
import { type MeanVoltage, measureMean } from './measure-mean.ts';
import { rescaledFigures } from './rescaled-figures.ts';
import type { RigUse } from './rig-event.ts';
import { makeBenchSafe } from './rig-safe.ts';

/** What is measured of an input: its zero with everything off, or its scale against a reference. */
export type CalibrationTask =
  | {
      readonly what: 'dark';
      /** YYYY-MM-DD, for the record of the dark wiring. */
      readonly date: string;
      /** Of that record, s. */
      readonly length: number;
    }
  | {
      readonly what: 'scale';
      /** What a calibrated instrument shows, and its standard uncertainty (k = 1), in the SI unit of the wire. */
      readonly reference: { readonly value: number; readonly standard: number };
      /** Switch the lamp on at full level first. */
      readonly lit: boolean;
      /** A scale far from the one before is taken, too. */
      readonly acceptJump: boolean;
    };

/** New figures for the rig file, and what the old ones made of the same record. */
export interface Calibrated {
  readonly change: CalibrationChange;
  /** In the unit of the wire: what it read of the reference, or of the dark, by the figures before. */
  readonly found: number;
  /** The same by the new figures, and its standard uncertainty. */
  readonly left: number;
  readonly standard: number;
}

/** Length of the record behind a scale, s. */
const scaleLength = 1;

/**
 * Measures zero or scale of one input of a rig; the rig is left in its safe state. Returns new figures for the rig file.
 * Throws a Complaint where the rig cannot be used, or `bench` where the record shows no light.
 */
export async function calibrateInput(
  files: RigFiles,
  wire: Wire,
  task: CalibrationTask,
  use: RigUse,
): Promise<Calibrated> {
  const { to, bench, release } = await acquireRig(files, use);
  try {
    if (task.what === 'scale' && task.lit) await lightUp(bench, files, use.signal);
    else if (task.what === 'dark') await makeBenchSafe(bench, to);
    const length = task.what === 'dark' ? task.length : scaleLength;
    const measured = await measureMean(bench, wire, length, use.signal);
    return task.what === 'scale'
      ? scaleChange(wire, measured, task)
      : darkChange(wire, measured, task.date);
  } catch (error) {
    throw error instanceof BenchError ? benchComplaint(error) : error;
  } finally {
    await makeBenchSafe(bench, to);
    await bench.close();
    await release();
  }
}

async function lightUp(
  bench: OpenBench,
  { rig, lamp }: RigFiles,
  signal: AbortSignal,
): Promise<void> {
  await powerUp(bench, rig, lamp, signal);
  const link = linkOf({ bench, rig }, undefined);
  const intensities = Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
  const full: LampTarget = { level: 1, intensities };
  await link.set(full, { signal, deadline: 5 });
}

/** Zero and spectrum of the dark wiring; more noise than the file states is written there too. */
function darkChange(
  wire: Wire,
  { mean, standard, volts, step, rate }: MeanVoltage,
  date: string,
): Calibrated {
  const samples = volts.map((value) => (value - mean) * wire.scale);
  const facts = { start: 0, unit: wire.unit, clipped: 0, step: step * Math.abs(wire.scale) };
  const record = { samples, rate, ...facts };
  const { noise } = analysisOf(record);
  const zero = standard * Math.abs(wire.scale);
  const change = {
    offset: `${figureText(mean)} V`,
    'standard-offset': `${figureText(zero)} ${wire.unit}`,
    ...(noise > wire.noise && { noise: `${figureText(noise)} ${wire.unit}` }),
    dark: darkSpectrum(record, wire, date),
  };
  return { change, found: (mean - wire.offset) * wire.scale, left: 0, standard: zero };
}

/** A scale that changes by more than this factor is more likely a slip than a drift (common practice, no source). */
const largestJump = 1.5;

function scaleChange(
  wire: Wire,
  { mean, standard }: MeanVoltage,
  { reference, acceptJump }: Extract<CalibrationTask, { readonly what: 'scale' }>,
): Calibrated {
  const volts = mean - wire.offset;
  if (Math.abs(volts) < 10 * standard)
    throw new Complaint(
      'bench',
      `expected a voltage well above noise at input ${wire.input}, found ${figureText(volts)} V (standard uncertainty ${figureText(standard)} V); is the light on?`,
    );
  const relative = Math.hypot(reference.standard / reference.value, standard / volts);
  const scale = reference.value / volts;
  const jump = scale / wire.scale;
  if (!acceptJump && !(jump < largestJump && jump > 1 / largestJump))
    throw new Complaint(
      'bench',
      `the scale of ${wire.signal} would become ${figureText(scale)} ${wire.unit}/V, ${figureText(jump)} times the ${figureText(wire.scale)} ${wire.unit}/V of the rig file. Is the reference's unit right, and is it at the place of the sensor? Nothing was written; --accept-jump takes it`,
    );
  const change = {
    scale: `${figureText(scale)} ${wire.unit}/V`,
    'standard-scale': `${figureText(relative * 100)} %`,
    ...rescaledFigures(wire, Math.abs(jump)),
  };
  const found = volts * wire.scale;
  return { change, found, left: reference.value, standard: relative * Math.abs(reference.value) };
}
