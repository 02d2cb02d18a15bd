import type { Metric } from './metric.ts';
import type { Observation } from './observation.ts';

/** The metric with its title as it is printed beside a value: those of its parameters in it that a value is nothing without. */
export function qualified(metric: Metric, parameters: Observation['parameters']): Metric {
  const { title, qualifier } = metric;
  return qualifier ? { ...metric, title: `${title} (${qualifier(parameters)})` } : metric;
}
