import type { Observation } from '../measure/observation.ts';

/** Which records of an observation a computation looked at. */
export interface Opened {
  has(signal: string, of: string): boolean;
}

/**
 * Wraps an observation so that looking at a record leaves a trace.
 *
 * What a metric never opened cannot move its value; the uncertainty budget saves those runs.
 */
export function watched(observation: Observation): {
  readonly observation: Observation;
  readonly opened: Opened;
} {
  const seen = new Set<string>();
  let colour = false;
  let frames = false;
  const records = observation.records.map(({ signal, of, waveform }) => ({
    signal,
    of,
    get waveform() {
      seen.add(`${signal} ${of}`);
      return waveform;
    },
  }));
  return {
    observation: {
      ...observation,
      records,
      get colour() {
        colour = true;
        return observation.colour;
      },
      get frames() {
        frames = true;
        return observation.frames;
      },
    },
    opened: {
      has: (signal, of) =>
        signal === 'colour' ? colour : signal === 'frame' ? frames : seen.has(`${signal} ${of}`),
    },
  };
}
