import { estimatedNoise } from '../measure/analysis/estimated-noise.ts';
import { hannMean } from '../measure/analysis/means.ts';
import { lengthOf, windowed } from '../measure/analysis/waveform-part.ts';
import { type DarkNoise, noDarkNoise } from '../measure/dark-noise.ts';
import type { Evidence } from '../measure/evidence.ts';
import type { Metric } from '../measure/metric.ts';
import type { Observation, SignalRecord } from '../measure/observation.ts';
import { type NotMeasurable, notMeasurable } from '../measure/outcome.ts';
import { signals } from '../measure/signals.ts';
import { longestDark, longestSteady } from '../measure/subject/steady-stretch.ts';
import type { Waveform } from '../measure/waveform.ts';
import { formatQuantity } from '../units/format-quantity.ts';
import { nameOf } from './rounding-error.ts';
import type { InputCalibration } from './uncertainty.ts';

/** An input of which everything is known: stated, or told from the record. */
export interface KnownInput extends InputCalibration {
  readonly standardOffset: number;
  readonly noise: number;
  readonly dark: DarkNoise;
  /** What of it nobody has stated: said beside the value. */
  readonly notes: Evidence['notes'];
}

/**
 * What nobody has stated of the inputs, told from their records: noise from a steady stretch of the lit lamp, and how far
 * the zero may be off from a stretch in the dark.
 * Not measurable: a metric that is as good as the zero of its inputs, and a zero of which nothing is known.
 */
export function knownInputs(
  metric: Metric,
  observation: Observation,
  inputs: readonly InputCalibration[],
): readonly KnownInput[] | NotMeasurable {
  const known: KnownInput[] = [];
  for (const input of inputs) {
    const record = observation.records.find(({ capture }) => capture === input.capture);
    const standardOffset = input.standardOffset ?? zeroOf(record, observation);
    if (standardOffset === undefined && metric.needs.zero) return unstatedZero(input);
    const noise = noiseOf(input, record, observation);
    known.push({
      ...input,
      ...noise,
      standardOffset: standardOffset ?? 0,
      notes: {
        ...(standardOffset === undefined && restsOnZero(metric, input) && unstatedNote(input)),
        ...(!input.dark && pickupNote(input, noise.dark)),
      },
    });
  }
  return known;
}

function restsOnZero({ blindTo }: Metric, { signal }: InputCalibration): boolean {
  return followsLevel(signal) && !blindTo?.includes('offset');
}

function unstatedNote(input: InputCalibration): Evidence['notes'] {
  return { 'zero-not-stated': `${nameOf(input)}: taken as exact` };
}

function pickupNote(input: InputCalibration, { lines }: DarkNoise): Evidence['notes'] {
  if (lines.length === 0) return {};
  const at = lines.map(({ frequency }) => formatQuantity(frequency, 'frequency', 'Hz', 3));
  return {
    'possible-pickup': `${nameOf(input)}: ${at.join(', ')} may be the mains; a record of the dark wiring would tell`,
  };
}

/** Samples that the mean of a dark stretch needs. */
const fewest = 8;

/** The lamp may leak light where it is off, so that a dark mean is no correction: the zero may be off by all of it. */
function zeroOf(record: SignalRecord | undefined, { commanded }: Observation): number | undefined {
  const dark = record && longestDark(record, commanded);
  return dark && lengthOf(dark) >= fewest ? Math.abs(hannMean(dark)) : undefined;
}

function unstatedZero(input: InputCalibration): NotMeasurable {
  return notMeasurable('no-zero', {
    note: `${nameOf(input)}: state the standard uncertainty of its offset (0 where the zero is exact), or record it with the lamp off in the same record`,
  });
}

function noiseOf(
  { signal, noise, dark }: InputCalibration,
  record: SignalRecord | undefined,
  { commanded, window }: Observation,
): Pick<KnownInput, 'noise' | 'dark'> {
  if (noise !== undefined && dark) return { noise, dark };
  const steady = record && steadyPart(record, commanded, window);
  if (!steady || isPin(signal)) return { noise: noise ?? 0, dark: dark ?? noDarkNoise };
  const told = estimatedNoise(steady, followsLevel(signal));
  return { noise: noise ?? told.white, dark: dark ?? told.dark };
}

/** Of what does not follow the commanded level all of the window is as steady as it gets. */
function steadyPart(
  record: SignalRecord,
  commanded: Observation['commanded'],
  { from, to }: Observation['window'],
): Waveform | null {
  return followsLevel(record.signal)
    ? longestSteady(record, commanded, { from, to })
    : windowed(record.waveform, from, to);
}

/** A pin has two levels, and noise between them is nothing to it. */
function isPin(signal: InputCalibration['signal']): boolean {
  return signal === 'busy' || signal === 'memory-write' || signal === 'sync';
}

/** It is steady where the command is. */
function followsLevel(signal: InputCalibration['signal']): boolean {
  return signals[signal].perChannel && signals[signal].kind === 'waveform';
}
