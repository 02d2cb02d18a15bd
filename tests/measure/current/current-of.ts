import type { Metric } from '../../../harness/measure/metric.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { deviates } from '../light-of.ts';
import { recorded } from '../recorded.ts';
import { wellFormed } from '../well-formed.ts';

/** A current from its integral over time, as an integrating digitiser sees it, with white noise. */
export function integratedCurrent(
  area: (t: number) => number,
  rate: number,
  seconds: number,
  noise = 0,
): Waveform {
  const next = deviates(7);
  const samples = Float64Array.from({ length: Math.round(rate * seconds) }, (_, k) => {
    return (area((k + 1) / rate) - area(k / rate)) * rate + noise * next();
  });
  return { samples, rate, start: 0, unit: 'A', clipped: 0 };
}

/** An observation of one channel's current over its whole record, steady at full light. */
export function currentOf(
  waveform: Waveform,
  parameters: Readonly<Record<string, number | string>> = {},
  marks: Observation['commanded']['marks'] = [],
): Observation {
  const to = waveform.start + waveform.samples.length / waveform.rate;
  const segments = [{ from: 0, to, startLevel: 1, endLevel: 1 }];
  return {
    of: 'warm',
    window: { from: waveform.start, to },
    records: [recorded('channel-current', 'warm', waveform)],
    colour: [],
    frames: [],
    commanded: {
      channels: [{ channel: 'warm', lumen: 100, xy: [0.45, 0.41], maxCurrent: 0.7, segments }],
      marks,
      duration: to,
      curve: { kind: 'logarithmic', bottom: 0.001 },
    },
    parameters,
  };
}

/** The value, or an error that says why there is none. */
export function figure(metric: Metric, observation: Observation): number {
  const outcome = wellFormed(metric, observation);
  if (!outcome.measured) throw new Error(`not measurable: ${JSON.stringify(outcome)}`);
  return outcome.value;
}

/** The reason, or an error that shows the value. */
export function reason(metric: Metric, observation: Observation): string {
  const outcome = wellFormed(metric, observation);
  if (outcome.measured) throw new Error(`measured: ${outcome.value}`);
  return outcome.reason;
}
