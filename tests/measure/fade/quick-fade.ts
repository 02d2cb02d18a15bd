import type { Metric } from '../../../harness/measure/metric.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import type { Measured } from '../../../harness/measure/outcome.ts';
import { wellFormed } from '../well-formed.ts';

/** What a metric found, or an error that says why it found nothing. */
export function outcome(metric: Metric, observation: Observation): Measured {
  const found = wellFormed(metric, observation);
  if (!found.measured) throw new Error(`not measurable: ${JSON.stringify(found)}`);
  return found;
}

export function standardOf({ contributions }: Measured, name: string): number {
  return contributions.find((each) => each.name === name)?.standard ?? Number.NaN;
}
