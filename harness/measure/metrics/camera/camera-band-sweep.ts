import { bandChart } from '../../charts/camera-charts.ts';
import type { Chart } from '../../evidence.ts';
import { bandContrast } from '../../features/camera/band-contrast.ts';
import { exposureRefused, samplesPerExposure } from '../../features/camera/exposure-limits.ts';
import { rowNoise, rowNoiseKnown } from '../../features/camera/row-noise.ts';
import { slowestFrameRate, usualExposures } from '../../features/camera/usual-exposures.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

const shortest = 1 / 2000;
const needs: Need = {
  ...lightNeed,
  rate: samplesPerExposure / shortest,
  duration: 2 / slowestFrameRate,
};

/**
 * Worst contrast of bands on camera over the usual exposure times from 1/24 s down to the shortest asked for, at 24
 * frames a second (slower than any other usual rate, so their worst case as well).
 * Inputs: light (lx) or LED current (A), at least 16 kS/s and 8 samples in the shortest exposure. Output: ratio 0..1.
 * Parameter: `shortest-exposure` s, 1/2000 s where the spec says nothing; a usual exposure on it is included.
 * Not measurable: fewer than 8 samples in the shortest exposure; record shorter than a frame and its exposure; dark,
 * clipped, negative or non-finite samples.
 * Fooled by: as for camera-band-contrast; exposure times between the usual ones, and other frame rates, which are not
 * tried.
 * Source: boxcar exposure (computed); list of exposures: common practice, from memory.
 */
export const cameraBandSweep: Metric = {
  id: 'camera-band-sweep',
  title: 'Worst contrast of bands on camera over the usual exposures',
  family: 'camera',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs,
  parameters: [
    {
      name: 'shortest-exposure',
      kind: 'time',
      default: shortest,
      about: 'usual exposures shorter than this are left out',
    },
  ],
  source: 'boxcar-exposure',
  blindTo: ['scale'],
  compute(observation, options) {
    const record = litRecord(observation, needs);
    if (!isMeasurable(record)) return record;
    const { waveform, analysis } = record;
    const noise = rowNoise(waveform, analysis);
    const least = Number(observation.parameters['shortest-exposure'] ?? shortest);
    const exposures = usualExposures.filter((exposure) => exposure >= least * (1 - 1e-6));
    const frameTime = 1 / slowestFrameRate;
    const refused = exposureRefused(waveform, exposures.at(-1) ?? least, frameTime);
    if (refused) return refused;
    const found = exposures.map((exposure) => ({
      exposure,
      ...bandContrast(waveform, exposure, frameTime, noise),
    }));
    const worst = found.reduce((a, b) => (b.contrast > a.contrast ? b : a));
    const correction = rowNoiseKnown * Math.abs(worst.raw - worst.contrast);
    const contributions = [
      { name: 'noise correction', standard: correction },
      { name: 'edges within samples', standard: worst.edges },
      { name: 'course within samples', standard: worst.course },
    ];
    const floor = 2 * correction + (waveform.step ?? 0) / 2 / analysis.statistics.mean;
    if (options?.evidence === false)
      return measured(worst.contrast, noEvidence, contributions, floor);
    const shutter = { exposure: worst.exposure, readOut: frameTime, at: worst.at };
    const charts = [sweepChart(found), bandChart(waveform, shutter)];
    const notes = { 'worst-exposure': worst.exposure };
    return measured(worst.contrast, { charts, notes }, contributions, floor);
  },
};

function sweepChart(
  found: readonly { readonly exposure: number; readonly contrast: number }[],
): Chart {
  const sorted = [...found].sort((a, b) => a.exposure - b.exposure);
  return {
    kind: 'curve',
    title: 'Contrast over exposure time',
    x: { label: 'exposure', unit: 's', scale: 'log' },
    y: { label: 'contrast of bands', unit: '1', scale: 'linear' },
    lines: [
      {
        name: 'contrast',
        role: 'measured',
        x: sorted.map(({ exposure }) => exposure),
        y: sorted.map(({ contrast }) => contrast),
      },
    ],
    marks: [],
  };
}
