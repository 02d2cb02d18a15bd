import { clockOf, stretched } from '../../harness/measure/analysis/waveform-part.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import type { Waveform } from '../../harness/measure/waveform.ts';

/**
 * The metric without any saving of the budget: blind to nothing but what is drawn at random, and computed from the samples as the errors
 * leave them, with nothing known of where they came from.
 */
export function computedInFull(metric: Metric): Metric {
  return {
    ...metric,
    blindTo: ['noise', 'quantisation'],
    compute: (observation, options) => metric.compute(plain(observation), options),
  };
}

function plain(observation: Observation): Observation {
  const records = observation.records.map((record) => ({
    ...record,
    waveform: plainWaveform(record.waveform),
  }));
  return { ...observation, records };
}

/** A copy does not inherit what it was made from, and other memory is analysed anew. Windows hold the samples that they held. */
function plainWaveform(waveform: Waveform): Waveform {
  const copy = { ...waveform, samples: waveform.samples.slice() };
  const clock = clockOf(waveform);
  return clock.rate === copy.rate
    ? copy
    : stretched({ ...copy, rate: clock.rate }, clock.rate / copy.rate);
}
