/**
 * `evenfall/measure`: the metrics, without files, clocks or a lamp. It runs where JavaScript does: in Node, a worker or a browser.
 * All figures are SI; a ratio is a ratio and no percentage.
 */
export type { Axis, Chart, Evidence, Line } from '../measure/evidence.ts';
export type { ComputeOptions, Metric, Need, Parameter } from '../measure/metric.ts';
export { findMetric, metrics } from '../measure/metrics.ts';
export type {
  CameraFrame,
  ColourReading,
  Commanded,
  CommandedChannel,
  DimmingCurve,
  Frame,
  Observation,
  Segment,
  SelfReport,
  SensorReading,
  SignalRecord,
  Window,
} from '../measure/observation.ts';
export type { Contribution, Measured, NotMeasurable, Outcome, Reason } from '../measure/outcome.ts';
export type { Signal } from '../measure/signals.ts';
export type { Sampling, Waveform } from '../measure/waveform.ts';
export type { Dimension, UnitSymbol } from '../units/unit.ts';
export { measureWaveform, type WaveformToMeasure } from './measure-waveform.ts';
