import { noDarkNoise } from '../../harness/measure/dark-noise.ts';
import type { CalibrationInput, Metric } from '../../harness/measure/metric.ts';
import type { ColourReading, Observation } from '../../harness/measure/observation.ts';
import { measured, type Outcome } from '../../harness/measure/outcome.ts';
import { assess } from '../../harness/verdict/assess.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { captureOf, recorded } from '../measure/recorded.ts';

export type Compute = (observation: Observation, options?: { evidence?: boolean }) => Outcome;

export function metricOf(compute: Compute, blindTo: readonly CalibrationInput[] = []): Metric {
  return {
    id: 'quantity',
    title: 'Quantity',
    family: 'level',
    unit: '1',
    dimension: 'number',
    shown: '1',
    needs: { signals: ['light'], scope: 'one' },
    parameters: [],
    source: 'none',
    blindTo,
    compute,
  };
}

interface Recorded {
  readonly of?: string;
  readonly samples: readonly number[];
}

export function observe(
  records: readonly Recorded[],
  colour: readonly ColourReading[] = [],
): Observation {
  return {
    of: 'light',
    window: { from: 0, to: 1 },
    records: records.map(({ of = 'light', samples }) =>
      recorded('light', of, {
        samples: Float32Array.from(samples),
        rate: 1000,
        start: 0,
        unit: 'lx',
        clipped: 0,
        range: { low: 0, high: 10 },
        step: 0.01,
      }),
    ),
    colour,
    frames: [],
    commanded: {
      channels: [],
      marks: [],
      duration: 1,
      curve: { kind: 'logarithmic', bottom: 0.001 },
    },
    parameters: {},
  };
}

export function calibration(part: Partial<InputCalibration> = {}): InputCalibration {
  const { signal = 'light', of = 'light' } = part;
  return {
    capture: signal === 'colour' ? 'colour' : captureOf(signal, of),
    signal,
    of,
    standardScale: 0,
    standardOffset: 0,
    noise: 0,
    timeBase: 0,
    step: 0,
    dark: noDarkNoise,
    ...part,
  };
}

export const waveform = (observation: Observation, index = 0) =>
  observation.records[index]!.waveform;
export const mean = (values: ArrayLike<number>) =>
  Array.from(values).reduce((sum, value) => sum + value, 0) / values.length;
export const level = metricOf((observation) => measured(mean(waveform(observation).samples)));
export const steady = observe([{ samples: new Array(100).fill(4) }]);

export function expandedOf(
  metric: Metric,
  observation: Observation,
  calibrations: readonly InputCalibration[],
  k = 2,
): number {
  const assessed = assess(metric, observation, calibrations, k);
  if (!('expanded' in assessed)) throw new Error(`not measurable: ${assessed.outcome.reason}`);
  return assessed.expanded;
}
