import { duration } from '../../analysis/waveform-part.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import type { Waveform } from '../../waveform.ts';
import { missesPulses } from './missed-pulses.ts';

/**
 * Samples that an exposure must hold: with fewer, the light's course within a sample, of which the record knows only the
 * mean, moves the contrast of short pulses by more than a tenth.
 */
export const samplesPerExposure = 8;

/** Why bands of this exposure and frame time cannot be told from the record, or null. All in s. */
export function exposureRefused(
  waveform: Waveform,
  exposure: number,
  frameTime: number,
): NotMeasurable | null {
  if (!(exposure > 0 && exposure <= frameTime * (1 + 1e-9))) {
    return notMeasurable('out-of-domain', {
      found: exposure,
      needed: frameTime,
      unit: 's',
      note: 'an exposure lasts at most one frame',
    });
  }
  // An exposure of exactly eight samples must not fail by rounding.
  if (exposure * waveform.rate < samplesPerExposure * (1 - 1e-9)) {
    return notMeasurable('too-slow', {
      found: waveform.rate,
      needed: samplesPerExposure / exposure,
      unit: 'Hz',
      note: `an exposure must hold ${samplesPerExposure} samples`,
    });
  }
  if (duration(waveform) < (exposure + frameTime) * (1 - 1e-9)) {
    return notMeasurable('too-short', {
      found: duration(waveform),
      needed: exposure + frameTime,
      unit: 's',
      note: 'the record must hold a whole frame',
    });
  }
  if (missesPulses(waveform.samples)) {
    return notMeasurable('unresolved', {
      found: 1 / waveform.rate,
      unit: 's',
      note: 'pulses shorter than a sample fall between samples: it needs samples that are means over their interval, or more of them',
    });
  }
  return null;
}
