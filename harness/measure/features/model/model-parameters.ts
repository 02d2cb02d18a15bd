import type { Parameter } from '../../metric.ts';

export const modelParameters: readonly Parameter[] = [
  {
    name: 'smoothing',
    kind: 'time',
    default: 1e-3,
    about: 'the light is averaged over it, or over whole periods of the modulator that are as long',
  },
  {
    name: 'tolerance',
    kind: 'ratio',
    default: 0.1,
    about:
      'part by which the current at full light may differ from the lamp file; a reference window takes its place',
  },
];
