import { BenchError } from '../../bench/errors.ts';
import type { Digitiser, LampTarget, OpenBench } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import { powerUp } from '../../run/condition/power-up.ts';
import { linkOf } from '../../run/condition/stimulus.ts';
import { Complaint } from '../complaint.ts';
import { acquireRig, benchComplaint, type RigFiles } from './acquire-rig.ts';
import type { CalibrationChange } from './change-calibration.ts';
import type { RigUse } from './rig-event.ts';
import { makeBenchSafe } from './rig-safe.ts';

/** What is measured of an input: its zero with everything off, or its scale against a reference. */
export type CalibrationTask =
  | { readonly what: 'dark' }
  | {
      readonly what: 'scale';
      /** What a calibrated instrument shows, and its standard uncertainty (k = 1), in the SI unit of the wire. */
      readonly reference: { readonly value: number; readonly standard: number };
      /** Switch the lamp on at full level first. */
      readonly lit: boolean;
    };

/** The mean of a record, V, and its standard uncertainty. */
interface MeanVoltage {
  readonly mean: number;
  readonly standard: number;
}

/** The record behind a calibration: this many pieces of a second tell how well its mean is known. */
const pieces = 10;
/** Hz */
const usualRate = 10_000;

/**
 * Measures zero or scale of one input of a rig; the rig is left in its safe state. Returns new figures for the rig file.
 * Throws a Complaint where the rig cannot be used, or `bench` where the record shows no light.
 */
export async function calibrateInput(
  files: RigFiles,
  wire: Wire,
  task: CalibrationTask,
  use: RigUse,
): Promise<CalibrationChange> {
  const { to, bench, release } = await acquireRig(files, use);
  try {
    if (task.what === 'scale' && task.lit) await lightUp(bench, files, use.signal);
    else if (task.what === 'dark') await makeBenchSafe(bench, to);
    const measured = await measureMean(bench, wire, use.signal);
    return task.what === 'scale'
      ? scaleChange(wire, measured, task.reference)
      : darkChange(wire, measured);
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

/** Mean voltage of one second, and its standard uncertainty from the scatter of its pieces. */
async function measureMean(
  bench: OpenBench,
  wire: Wire,
  signal: AbortSignal,
): Promise<MeanVoltage> {
  const digitiser = bench.instruments.get(wire.instrument);
  if (digitiser?.kind !== 'digitiser')
    throw new Complaint(
      'usage',
      `${wire.instrument} is not a digitiser; enter its calibration by hand`,
    );
  const { codes, scale, offset } = await recordOneSecond(digitiser, wire, signal);
  const length = Math.floor(codes.length / pieces);
  const means = Array.from({ length: pieces }, (_, piece) => {
    const part = codes.subarray(piece * length, (piece + 1) * length);
    let sum = 0;
    for (const code of part) sum += code;
    return (sum / length) * scale + offset;
  });
  const mean = means.reduce((a, b) => a + b, 0) / pieces;
  const variance = means.reduce((sum, each) => sum + (each - mean) ** 2, 0) / (pieces - 1);
  // A record that never moves is known no better than its step.
  const step = Math.abs(scale) / Math.sqrt(12);
  return { mean, standard: Math.max(Math.sqrt(variance / pieces), step / Math.sqrt(pieces)) };
}

async function recordOneSecond(digitiser: Digitiser, { input }: Wire, signal: AbortSignal) {
  const rate = Math.min(usualRate, digitiser.capabilities.highestRate);
  const setup = { inputs: [{ input }], rate, duration: 1 };
  const armed = await digitiser.arm(setup, { signal, deadline: 10 });
  const [record] = await armed.finished;
  if (record) return record;
  throw new Complaint('unreachable', `${digitiser.name} returned no record of input ${input}`);
}

function darkChange(wire: Wire, { mean, standard }: MeanVoltage): CalibrationChange {
  return {
    offset: `${short(mean)} V`,
    'standard-offset': `${short(standard * Math.abs(wire.scale))} ${wire.unit}`,
  };
}

function scaleChange(
  wire: Wire,
  { mean, standard }: MeanVoltage,
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
