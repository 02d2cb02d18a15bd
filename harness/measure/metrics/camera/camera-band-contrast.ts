import { bandChart } from '../../charts/camera-charts.ts';
import { waveformChart } from '../../charts/flicker-charts.ts';
import { bandContrast } from '../../features/camera/band-contrast.ts';
import { exposureRefused } from '../../features/camera/exposure-limits.ts';
import { rowNoise, rowNoiseKnown } from '../../features/camera/row-noise.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import type { Metric } from '../../metric.ts';
import { flickerNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Contrast of the bands that a rolling-shutter camera sees: (brightest - darkest row) / (brightest + darkest row) of the
 * worst frame in the window, for a rectangular exposure. The shutter takes the whole frame time to roll.
 * Inputs: light (lx) or LED current (A), at least 8 samples per exposure and one frame long. Output: ratio 0..1.
 * Parameters: `exposure` s, `frame-rate` Hz.
 * Noise: what it adds to the extremes of many rows is taken off.
 * Trend: none is taken off, for a camera shows it. A geometric fade shades each frame by tanh(r / (2 * frame rate)), r the
 * natural logarithm of its ratio per second: 0.24 % at 24 frames a second for 100 % to 0.1 % in 60 s (computed).
 * Not measurable: fewer than 8 samples per exposure; record shorter than exposure and frame; an exposure longer than the
 * frame; dark, clipped, negative or non-finite samples.
 * Fooled by: a camera whose shutter rolls faster than the frame time, which shows fewer bands; a shutter that opens and
 * closes slowly, which blurs them; light from other lamps in the room.
 * Source: boxcar exposure, computed from the definition and checked there by brute force.
 */
export const cameraBandContrast: Metric = {
  id: 'camera-band-contrast',
  title: 'Contrast of bands on camera',
  family: 'camera',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: flickerNeed,
  parameters: [
    { name: 'exposure', kind: 'time', default: 1 / 50, about: 'exposure time of each row' },
    { name: 'frame-rate', kind: 'frequency', default: 25, about: 'frames a second' },
  ],
  source: 'boxcar-exposure',
  blindTo: ['scale'],
  compute(observation, options) {
    const record = litRecord(observation, flickerNeed);
    if (!isMeasurable(record)) return record;
    const { waveform, analysis } = record;
    const noise = rowNoise(waveform, analysis);
    const exposure = Number(observation.parameters['exposure']);
    const frameTime = 1 / Number(observation.parameters['frame-rate']);
    const refused = exposureRefused(waveform, exposure, frameTime);
    if (refused) return refused;
    const { contrast, raw, at, edges, course } = bandContrast(waveform, exposure, frameTime, noise);
    const correction = rowNoiseKnown * Math.abs(raw - contrast);
    const contributions = [
      { name: 'noise correction', standard: correction },
      { name: 'edges within samples', standard: edges },
      { name: 'course within samples', standard: course },
    ];
    const floor = 2 * correction + (waveform.step ?? 0) / 2 / analysis.statistics.mean;
    if (options?.evidence === false) return measured(contrast, noEvidence, contributions, floor);
    const charts = [
      bandChart(waveform, { exposure, readOut: frameTime, at }),
      waveformChart(waveform, analysis),
    ];
    return measured(contrast, { charts, notes: { 'raw-contrast': raw } }, contributions, floor);
  },
};
