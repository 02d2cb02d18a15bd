import { type Chart, chartPoints } from '../../evidence.ts';
import type { Metric } from '../../metric.ts';
import type { Frame } from '../../observation.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { decimateMinMax } from '../../signal/decimate-min-max.ts';
import { extremes } from '../../signal/extremes.ts';
import { sixthDifferenceNoise } from '../../signal/noise-level.ts';
import { statistics } from '../../signal/statistics.ts';

/** Rows that a frame must have for bands and noise to be told apart. */
const fewestRows = 64;
const correctionKnown = 0.2;

/**
 * Contrast of the bands in real frames: (brightest - darkest row) / (brightest + darkest row) of the worst frame in the
 * window. The shading of the lens counts too: take frames of an evenly lit surface, flat-field corrected.
 * Inputs: frames with one linear, dark-subtracted mean per row, at least 64 rows. Output: ratio 0..1.
 * Noise: what the rows' noise adds to the extremes is taken off.
 * Not measurable: no frame, a saturated one, one that is dark or too low, non-finite rows.
 * Fooled by: vignetting and uneven surfaces, which count as bands; a gamma curve or an automatic exposure in the
 * camera; bands wider than the frame.
 * Source: Michelson contrast, Wilkins, Veitch and Lehman 2010 (confirmed), applied to rows: common practice.
 */
export const frameBandContrast: Metric = {
  id: 'frame-band-contrast',
  title: 'Contrast of bands in a camera frame',
  family: 'camera',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: { signals: ['frame'], scope: 'one' },
  parameters: [],
  source: 'wilkins-2010',
  blindTo: ['scale', 'time-base'],
  compute({ frames, window }, options) {
    const inside = frames.filter(({ at }) => at >= window.from - 1e-9 && at <= window.to + 1e-9);
    let worst: ({ readonly frame: Frame } & Bands) | undefined;
    for (const frame of inside) {
      const found = contrastOf(frame);
      if (!isMeasurable(found)) return found;
      if (!worst || found.contrast > worst.contrast) worst = { frame, ...found };
    }
    if (!worst) return notMeasurable('no-record', { note: 'no frame in the window' });
    const { frame, contrast, raw, between } = worst;
    const correction = correctionKnown * Math.abs(raw - contrast);
    const contributions = [
      { name: 'noise correction', standard: correction },
      { name: 'bands between rows', standard: between },
    ];
    const floor = 2 * correction;
    if (options?.evidence === false) return measured(contrast, noEvidence, contributions, floor);
    const notes = { exposure: frame.exposure, 'line-time': frame.lineTime, 'raw-contrast': raw };
    return measured(contrast, { charts: [frameChart(frame)], notes }, contributions, floor);
  },
};

interface Bands {
  readonly contrast: number;
  readonly raw: number;
  /** Standard uncertainty from what lies between two rows. */
  readonly between: number;
}

function contrastOf(frame: Frame): Bands | NotMeasurable {
  if (frame.saturated) return notMeasurable('saturated');
  const { rows } = frame;
  if (rows.length < fewestRows) {
    return notMeasurable('too-short', {
      found: rows.length,
      needed: fewestRows,
      unit: '1',
      note: 'rows of the frame',
    });
  }
  const stats = statistics(rows);
  if (stats.notFiniteAt >= 0) return notMeasurable('not-finite');
  const noise = sixthDifferenceNoise(rows);
  const needed = (5 * noise) / Math.sqrt(rows.length);
  if (stats.mean <= needed)
    return notMeasurable('dark', {
      found: stats.mean,
      needed,
      unit: '1',
      note: 'mean of the rows',
    });
  const found = extremes(rows, stats, noise);
  const low = Math.max(0, found.low);
  const high = Math.max(low, found.high);
  const rawLow = Math.max(0, stats.lowest);
  const square = (high + low) ** 2;
  const lowBetween = Math.min(found.lowBetween, low / Math.sqrt(3));
  return {
    contrast: (high - low) / (high + low),
    raw: (stats.highest - rawLow) / (stats.highest + rawLow),
    between: (2 * low * found.highBetween + 2 * high * lowBetween) / square,
  };
}

function frameChart({ rows, lineTime }: Frame): Chart {
  const { at, values } = decimateMinMax(rows, chartPoints);
  const brightest = Math.max(...values);
  return {
    kind: 'bands',
    title: 'Rows of the frame',
    x: { label: 'start of the row', unit: 's', scale: 'linear' },
    y: { label: 'light relative to the brightest row', unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'row',
        role: 'measured',
        x: at.map((row) => row * lineTime),
        y: values.map((value) => value / brightest),
      },
    ],
    marks: [],
  };
}
