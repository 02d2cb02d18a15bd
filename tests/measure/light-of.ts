import type { Metric } from '../../harness/measure/metric.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import type { Outcome } from '../../harness/measure/outcome.ts';
import type { Waveform } from '../../harness/measure/waveform.ts';
import { recorded } from './recorded.ts';
import { wellFormed } from './well-formed.ts';

/** A waveform from a function of time, sampled in the middle of each interval. */
export function sampled(
  light: (t: number) => number,
  rate: number,
  seconds: number,
  rest: Partial<Waveform> = {},
): Waveform {
  const samples = new Float64Array(Math.round(rate * seconds));
  for (let k = 0; k < samples.length; k++) samples[k] = light((k + 0.5) / rate);
  return { samples, rate, start: 0, unit: 'lx', clipped: 0, ...rest };
}

/** A waveform from the integral of its light over time, as an integrating digitiser sees it: exact at edges. */
export function integrated(area: (t: number) => number, rate: number, seconds: number): Waveform {
  const samples = new Float64Array(Math.round(rate * seconds));
  for (let k = 0; k < samples.length; k++) {
    samples[k] = (area((k + 1) / rate) - area(k / rate)) * rate;
  }
  return { samples, rate, start: 0, unit: 'lx', clipped: 0 };
}

/** Integral of a pulse train from `low` to `high`, on for `duty` of each period from the period's start. */
export function pulses(frequency: number, duty: number, low = 0, high = 1): (t: number) => number {
  return (t) => {
    const periods = Math.floor(t * frequency + 1e-9);
    const rest = Math.max(0, t * frequency - periods);
    return low * t + ((high - low) * (periods * duty + Math.min(rest, duty))) / frequency;
  };
}

/** Standard normal deviates, the same for the same seed (mulberry32, Box-Muller). */
export function deviates(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
}

export function withNoise(waveform: Waveform, rms: number, seed = 1): Waveform {
  const next = deviates(seed);
  return { ...waveform, samples: waveform.samples.map((value) => value + rms * next()) };
}

/** An observation that holds one record of light, whole window, default parameters but for those given. */
export function observing(
  metric: Metric,
  waveform: Waveform,
  parameters: Readonly<Record<string, number | string>> = {},
): Observation {
  const defaults = metric.parameters.map((p) => [p.name, p.default ?? 0] as const);
  const seconds = waveform.samples.length / waveform.rate;
  return {
    of: 'light',
    window: { from: waveform.start, to: waveform.start + seconds },
    records: [recorded('light', 'light', waveform)],
    colour: [],
    frames: [],
    commanded: {
      channels: [],
      marks: [],
      duration: seconds,
      curve: { kind: 'logarithmic', bottom: 0.001 },
    },
    parameters: { ...Object.fromEntries(defaults), ...parameters },
  };
}

export function outcomeOf(
  metric: Metric,
  waveform: Waveform,
  parameters: Readonly<Record<string, number | string>> = {},
): Outcome {
  return wellFormed(metric, observing(metric, waveform, parameters));
}

/** The value, or an error that says why there is none. */
export function figureOf(
  metric: Metric,
  waveform: Waveform,
  parameters: Readonly<Record<string, number | string>> = {},
): number {
  const outcome = outcomeOf(metric, waveform, parameters);
  if (!outcome.measured) throw new Error(`not measurable: ${JSON.stringify(outcome)}`);
  return outcome.value;
}
