import type { Digitiser, OpenBench, RawCapture } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';
import { parts, scatterOfMean } from '../../measure/signal/scatter-of-mean.ts';
import { Complaint } from '../complaint.ts';

/** A record in volts, its mean and the standard uncertainty of that, V. */
export interface MeanVoltage {
  readonly mean: number;
  readonly standard: number;
  readonly volts: Float64Array;
  /** Of the converter, V. */
  readonly step: number;
  /** Hz. */
  readonly rate: number;
  /** Samples at either end of the converter's range. */
  readonly clipped: number;
}

/** Hz */
const usualRate = 10_000;
/** Mean voltage of a record, and its standard uncertainty from the scatter of its pieces. */
export async function measureMean(
  bench: OpenBench,
  wire: Wire,
  length: number,
  signal: AbortSignal,
): Promise<MeanVoltage> {
  const digitiser = bench.instruments.get(wire.instrument);
  if (digitiser?.kind !== 'digitiser')
    throw new Complaint(
      'usage',
      `${wire.instrument} is not a digitiser; enter its calibration by hand`,
    );
  const record = await takeRecord(digitiser, wire, length, signal);
  const { codes, rate, scale, offset } = record;
  const volts = Float64Array.from(codes, (code) => code * scale + offset);
  const mean = volts.reduce((sum, value) => sum + value, 0) / volts.length;
  // A record that never moves is known no better than its step.
  const step = Math.abs(scale);
  const standard = Math.max(scatterOfMean(volts), step / Math.sqrt(12 * parts));
  return { mean, standard, volts, step, rate, clipped: clippedIn(record) };
}

function clippedIn({ codes, lowest, highest }: RawCapture): number {
  let clipped = 0;
  for (let k = 0; k < codes.length; k++) {
    const code = codes[k] ?? 0;
    if (code >= highest || code <= lowest) clipped++;
  }
  return clipped;
}

async function takeRecord(
  digitiser: Digitiser,
  { input }: Wire,
  length: number,
  signal: AbortSignal,
) {
  const { highestRate, longestRecord } = digitiser.capabilities;
  const rate = Math.min(usualRate, highestRate, longestRecord / length);
  const setup = { inputs: [{ input }], rate, duration: length };
  const armed = await digitiser.arm(setup, { signal, deadline: length + 10 });
  const [record] = await armed.finished;
  if (record) return record;
  throw new Complaint('unreachable', `${digitiser.name} returned no record of input ${input}`);
}
