import type { Metric } from './metric.ts';

/** Every metric there is, family by family. A new metric is one file and one line here. */
export const metrics: readonly Metric[] = [];

/** The metric that a spec means by `id`, if there is one. */
export function findMetric(id: string): Metric | undefined {
  return metrics.find((metric) => metric.id === id);
}
