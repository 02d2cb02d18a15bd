import type { Chart } from '../evidence.ts';
import type { Waveform } from '../waveform.ts';
import { bandPreview, type Shutter } from './camera-charts.ts';

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
    y: { label: 'light relative to the brightest row', unit: '1', scale: 'linear' },
    lines: [{ name: 'row', role: 'measured', x, y: Array.from(picture) }],
    marks: [],
  };
}
