import type { Parameter } from '../../metric.ts';
import type { Observation } from '../../observation.ts';
import type { Side } from './excursions.ts';

/** What a blackout or a flash is. */
export interface EventKind {
  readonly side: Side;
  readonly parameter: Parameter;
  /** Part of the course, from it, that the value of the parameter means. */
  threshold(value: number): number;
}

export const blackoutDepth: EventKind = {
  side: 'below',
  parameter: {
    name: 'depth',
    kind: 'ratio',
    default: 0.5,
    about: 'part of its course below which the light is blacked out',
  },
  threshold: (depth) => 1 - depth,
};

export const flashHeight: EventKind = {
  side: 'above',
  parameter: {
    name: 'height',
    kind: 'ratio',
    default: 0.5,
    about: 'part of its course by which a flash is brighter',
  },
  threshold: (height) => height,
};

export function thresholdOf(observation: Observation, { parameter, threshold }: EventKind): number {
  return threshold(Number(observation.parameters[parameter.name] ?? parameter.default));
}
