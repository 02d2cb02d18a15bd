import type { Chart } from '../evidence.ts';
import { sampleAt, valueAt } from '../signal/samples.ts';
import type { Waveform } from '../waveform.ts';

/** What a camera does to the light, all in s. */
export interface Shutter {
  /** Exposure of each row. */
  readonly exposure: number;
  /** From the start of the first row to the start of the last. */
  readonly readOut: number;
  /** Start of the first row, from the record's start. */
  readonly at: number;
}

/**
 * The picture of an evenly lit white wall, one value per row from top to bottom: mean light over the row's exposure
 * relative to the brightest row, 0..1. Rows whose exposure the record does not hold whole are left out at the bottom.
 */
export function bandPreview(
  { samples, rate }: Pick<Waveform, 'samples' | 'rate'>,
  { exposure, readOut, at }: Shutter,
  rows: number,
): Float64Array {
  const sums = new Float64Array(samples.length + 1);
  for (let k = 0; k < samples.length; k++) sums[k + 1] = valueAt(sums, k) + sampleAt(samples, k);
  const upTo = (position: number): number => {
    const whole = Math.min(samples.length - 1, Math.max(0, Math.floor(position)));
    return valueAt(sums, whole) + (position - whole) * sampleAt(samples, whole);
  };
  const lineTime = rows > 1 ? readOut / (rows - 1) : 0;
  const seconds = samples.length / rate;
  const whole = Math.max(
    0,
    Math.min(rows, Math.floor((seconds - at - exposure) / (lineTime || 1) + 1e-6) + 1),
  );
  const picture = new Float64Array(whole);
  let brightest = 0;
  for (let row = 0; row < whole; row++) {
    const start = (at + row * lineTime) * rate;
    picture[row] = upTo(start + exposure * rate) - upTo(start);
    if (valueAt(picture, row) > brightest) brightest = valueAt(picture, row);
  }
  return brightest > 0 ? picture.map((value) => value / brightest) : picture;
}

/** Rows of the preview picture. */
const rows = 360;

/** Light of the rows over their start within the frame; a page draws it as the picture itself. */
export function bandChart(waveform: Waveform, shutter: Shutter): Chart {
  const picture = bandPreview(waveform, shutter, rows);
  const x: number[] = [];
  for (let row = 0; row < picture.length; row++) x.push((row * shutter.readOut) / (rows - 1));
  return {
    kind: 'bands',
    title: 'Worst frame on camera',
    x: { label: 'start of the row', unit: 's', scale: 'linear' },
    y: { label: 'light relative to the brightest row', unit: '1', shown: '%', scale: 'linear' },
    lines: [{ name: 'row', role: 'measured', x, y: Array.from(picture) }],
    marks: [],
  };
}
