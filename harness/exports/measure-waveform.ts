import { signalRecord } from '../measure/analysis/signal-record.ts';
import type { Metric } from '../measure/metric.ts';
import type { Observation, Window } from '../measure/observation.ts';
import type { Outcome } from '../measure/outcome.ts';
import type { Signal } from '../measure/signals.ts';
import { spanOf, type Waveform } from '../measure/waveform.ts';

/** A record of one input, and what of it is asked. */
export interface WaveformToMeasure {
  /** Samples per second in Hz, start in s, samples in `unit` (lx, A, V; what the signal can have). */
  readonly waveform: Waveform;
  /** What was recorded; `light` where it is left out. */
  readonly signal?: Signal;
  /** The channel that it is of; where it is left out, the mixed light. */
  readonly of?: string;
  /** What is looked at, s; where it is left out, all of it. */
  readonly window?: Window;
  /** Where the level is that others are relative to (full light, say), s. Metrics with `needs.reference` want one. */
  readonly reference?: Window;
  /** The metric's parameters, SI numbers or words, where they differ from their defaults. */
  readonly parameters?: Readonly<Record<string, number | string>>;
}

/**
 * The value of a metric in one record. Pure: the same record, the same outcome. Metrics that need more than one record, or
 * what was commanded, say that they cannot measure; hand those a whole `Observation` by `metric.compute`.
 * The dimming curve counts as logarithmic down to 0.1 % (IEC 62386-102, from memory).
 * Returns `measured: false` with a reason where the record does not yield the quantity.
 * Throws a RangeError where a parameter has no default and none was given, or where there is no such parameter.
 */
export function measureWaveform(metric: Metric, asked: WaveformToMeasure): Outcome {
  const { waveform, signal = 'light', of = signal, window, reference } = asked;
  const all = spanOf({ ...waveform, length: waveform.samples.length });
  const observation: Observation = {
    of,
    window: window ?? all,
    ...(reference && { reference }),
    records: [signalRecord({ capture: signal, signal, of }, waveform)],
    colour: [],
    frames: [],
    commanded: {
      channels: [],
      marks: [],
      duration: all.to,
      curve: { kind: 'logarithmic', bottom: lowestLevel },
    },
    parameters: parametersOf(metric, asked.parameters ?? {}),
  };
  return metric.compute(observation);
}

/** Relative light at the lowest level of a logarithmic dimming curve (IEC 62386-102, from memory). */
const lowestLevel = 0.001;

function parametersOf(
  { id, parameters }: Metric,
  given: Readonly<Record<string, number | string>>,
): Observation['parameters'] {
  const names = parameters.map(({ name }) => name);
  const unknown = Object.keys(given).find((name) => !names.includes(name));
  if (unknown !== undefined)
    throw new RangeError(
      `${id} has no parameter "${unknown}"; it has ${names.join(', ') || 'none'}`,
    );
  return Object.fromEntries(
    parameters.map(({ name, default: usual, about }) => {
      const value = given[name] ?? usual;
      if (value === null) throw new RangeError(`${id} needs the parameter "${name}": ${about}`);
      return [name, value];
    }),
  );
}
