import { plainMean } from '../measure/analysis/means.ts';
import { windowed } from '../measure/analysis/waveform-part.ts';
import type { Metric } from '../measure/metric.ts';
import type { Observation } from '../measure/observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../measure/outcome.ts';
import { signals } from '../measure/signals.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import { type KnownInput, knownInputs } from './known-input.ts';
import type { InputCalibration } from './uncertainty.ts';

/** What is known of the inputs that a metric read; or why they tell nothing. */
export function usableInputs(
  metric: Metric,
  observation: Observation,
  inputs: readonly InputCalibration[],
  coverageFactor: number,
): readonly KnownInput[] | NotMeasurable {
  const known = knownInputs(metric, observation, inputs);
  if (!isMeasurable(known)) return known;
  return referenceWithinZero(metric, observation, known, coverageFactor) ?? known;
}

/**
 * Why nothing can be related to a reference window whose mean is no more than the zero of its input may be off: any figure is
 * a quotient of nothing. Null where there is light, or no zero that counts. `below-noise`: nobody knows whose doing it is.
 */
function referenceWithinZero(
  { blindTo }: Metric,
  { reference, records }: Observation,
  inputs: readonly KnownInput[],
  coverageFactor: number,
): NotMeasurable | null {
  if (!reference || blindTo?.includes('offset')) return null;
  for (const { capture, signal, standardOffset } of inputs) {
    if (!signals[signal].perChannel || signals[signal].kind !== 'waveform') continue;
    const record = records.find((one) => one.capture === capture);
    const part = record && windowed(record.waveform, reference.from, reference.to);
    if (!part || !(standardOffset > 0)) continue;
    const mean = plainMean(part);
    const off = coverageFactor * standardOffset;
    if (!(mean <= off)) continue;
    const [usual] = signals[signal].dimensions;
    const dimension = record.waveform.unit === 'V' ? 'voltage' : usual;
    const show = (value: number): string => formatQuantity(value, dimension);
    const note = `the reference was dark: it reads ${show(mean)}, and its zero is known to ± ${show(off)}`;
    return notMeasurable('below-noise', { note });
  }
  return null;
}
