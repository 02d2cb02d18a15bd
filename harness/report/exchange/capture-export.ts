import { parquetWriteBuffer } from 'hyparquet-writer';
import wavefile from 'wavefile';
import type { UnitSymbol } from '../../units/unit.ts';

/** A stored capture in its unit. */
export interface ExportedCapture {
  readonly samples: Float64Array;
  /** Sampling interval, s. */
  readonly interval: number;
  /** Start of the first sample, s. */
  readonly start: number;
  readonly unit: UnitSymbol;
  readonly signal: string;
}

/** Time and value, one row a sample: the unit stands in the column's name, as `evenfall measure` reads it. */
export function renderCaptureCsv(capture: ExportedCapture): string {
  const { samples, interval, start } = capture;
  const rows = [`time_s,${columnName(capture)}\r\n`];
  for (const [k, value] of samples.entries())
    rows.push(`${timeAt(start, interval, k)},${value}\r\n`);
  return rows.join('');
}

/** Rounding to a picosecond keeps 0.00030000000000000003 out of the file. */
function timeAt(start: number, interval: number, k: number): number {
  return Number((start + k * interval).toFixed(12));
}

export function renderCaptureParquet(capture: ExportedCapture): Uint8Array {
  const { samples, interval, start } = capture;
  const time = Float64Array.from(samples, (_, k) => timeAt(start, interval, k));
  const columnData = [
    { name: 'time_s', data: time, type: 'DOUBLE' as const },
    { name: columnName(capture), data: samples, type: 'DOUBLE' as const },
  ];
  return new Uint8Array(parquetWriteBuffer({ columnData }));
}

/**
 * WAV with 32-bit floating-point samples. The format knows no unit and ±1 is full scale, so samples are divided by
 * `fullScale`, the largest size among them, in the capture's unit. `null` where the rate is not a whole number of Hz.
 */
export function renderCaptureWav(
  capture: ExportedCapture,
): { readonly bytes: Uint8Array; readonly fullScale: number } | null {
  const rate = Math.round(1 / capture.interval);
  if (Math.abs(rate * capture.interval - 1) > 1e-9) return null;
  const peak = capture.samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  const fullScale = peak > 0 ? peak : 1;
  const wav = new wavefile.WaveFile();
  wav.fromScratch(
    1,
    rate,
    '32f',
    capture.samples.map((value) => value / fullScale),
  );
  return { bytes: wav.toBuffer(), fullScale };
}

function columnName({ signal, unit }: ExportedCapture): string {
  const name = signal.replaceAll('-', '_');
  return unit === '1' ? name : `${name}_${unit}`;
}
