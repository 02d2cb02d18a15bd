import type { Waveform } from '../waveform.ts';
import { isDisturbed } from './disturbed-waveform.ts';

/**
 * Figures that a gain and an offset move along: of a waveform with such an error they are computed from its record, which is
 * remembered, and moved. Noise needs them anew.
 */
export function linearFigures<T>(
  waveform: Waveform,
  compute: (waveform: Waveform) => T,
  moved: (figures: T, gain: number, offset: number) => T,
): T {
  if (!isDisturbed(waveform) || waveform.error.noise) return compute(waveform);
  const { gain, offset } = waveform.error;
  return moved(linearFigures(waveform.recorded, compute, moved), gain, offset);
}
