import type { Parameter } from '../../metric.ts';
import type { Observation } from '../../observation.ts';
import { sensationScale } from './light-flickermeter.ts';

/** `scale` as a parameter. */
export const scaleParameter: Parameter = {
  name: 'scale',
  kind: 'number',
  default: sensationScale.light,
  about:
    'scale of the flicker sensation: 1.1016e6 (IEC TR 61547-1, from memory) or 1.23835e6 (derived from IEC 61000-4-15)',
};

export function scaleOf(parameters: Observation['parameters']): number {
  return Number(parameters['scale'] ?? sensationScale.light);
}

/** Two scales are about, 6 % of PstLM apart: a figure without its own says less than it seems to. */
export function scaleWords(parameters: Observation['parameters']): string {
  return `scale ${scaleOf(parameters).toExponential().replace('e+', 'e')}`;
}
