import { windowed } from '../analysis/waveform-part.ts';
import type { Need, Parameter } from '../metric.ts';
import type { Observation } from '../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../outcome.ts';
import type { Signal } from '../signals.ts';
import type { Waveform } from '../waveform.ts';
import { lampRecord, whyUnsound } from './sound-record.ts';

/** Half of 3 V, which pins of most processors have; V. */
const usual = 1.5;

export const pinThreshold: Parameter = {
  name: 'threshold',
  kind: 'voltage',
  default: usual,
  about: 'voltage above which the pin is high',
};

export interface PinPart {
  readonly waveform: Waveform;
  /** The pin is high above it, V. */
  readonly threshold: number;
}

/** What a pin of the lamp does in the window, whatever the metric's subject is; of a pin that is clipped nothing is lost. */
export function pinPart(
  observation: Observation,
  pin: Signal,
  need: Need,
): PinPart | NotMeasurable {
  const record = lampRecord(observation, pin);
  if (!isMeasurable(record)) return notMeasurable('no-record', { note: `no ${pin} pin` });
  const { window, parameters } = observation;
  const unsound = whyUnsound(record, need, window, { clipped: true });
  if (unsound) return unsound;
  return {
    waveform: windowed(record.waveform, window.from, window.to),
    threshold: Number(parameters[pinThreshold.name] ?? usual),
  };
}
