import type { Sampled } from '../signal/samples.ts';
import { isDisturbed } from './disturbed-waveform.ts';

/**
 * A figure of the change of a waveform relative to `mean`, x/mean - 1, to which it is proportional. Gain and offset scale
 * that change, so of a record that they alone have moved the figure is computed from the recorded samples.
 *
 * @param mean in the waveform's unit; not 0
 */
export function relativeFigure(
  waveform: Sampled,
  mean: number,
  figure: (waveform: Sampled, mean: number) => number,
): number {
  if (!isDisturbed(waveform) || waveform.error.noise) return figure(waveform, mean);
  const { gain, offset } = waveform.error;
  const recordedMean = (mean - offset) / gain;
  const recorded = figure(waveform.recorded, recordedMean);
  return (recorded * Math.abs(gain * recordedMean)) / Math.abs(mean);
}
