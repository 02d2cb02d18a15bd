import type { Metric } from '../measure/metric.ts';
import type { Raw, ValueReader } from '../plan/value-reader.ts';
import { formatQuantity } from '../units/format-quantity.ts';

/** A figure in the unit of the metric. */
export function metricFigure(written: Raw, metric: Metric, reader: ValueReader): number {
  return reader.figure(written, metric.dimension, { bare: isBare(metric) });
}

/** Ratios that nobody writes in per cent (flicker index, SVM) may stand without a unit. */
export function isBare({ shown }: Metric): boolean {
  return shown === '1' || shown === '';
}

export function showFigure(value: number, { dimension, shown }: Metric): string {
  return formatQuantity(value, dimension, shown);
}

export function exampleFigure(metric: Metric): string {
  return isBare(metric) ? '0.1' : `1 ${metric.shown}`;
}
