import type { Metric } from '../../harness/measure/metric.ts';
import { flickerIndex } from '../../harness/measure/metrics/flicker/flicker-index.ts';
import { ieee1789LowRisk } from '../../harness/measure/metrics/flicker/ieee1789-fundamental.ts';
import { modulation } from '../../harness/measure/metrics/flicker/modulation.ts';
import { shortTermLightModulation } from '../../harness/measure/metrics/flicker/short-term-light-modulation.ts';
import { stroboscopicVisibility } from '../../harness/measure/metrics/flicker/stroboscopic-visibility.ts';
import type { Outcome } from '../../harness/measure/outcome.ts';
import { observing } from '../measure/light-of.ts';

const metrics: readonly Metric[] = [
  modulation,
  flickerIndex,
  ieee1789LowRisk,
  stroboscopicVisibility,
  shortTermLightModulation,
];

/** The flicker metrics of a record that nothing is known of yet, without charts. */
export function flickerMetrics(
  samples: Float64Array,
  rate: number,
): { readonly id: string; readonly outcome: Outcome }[] {
  const waveform = { samples, rate, start: 0, unit: 'lx', clipped: 0 } as const;
  return metrics.map((metric) => ({
    id: metric.id,
    outcome: metric.compute(observing(metric, waveform), { evidence: false }),
  }));
}
