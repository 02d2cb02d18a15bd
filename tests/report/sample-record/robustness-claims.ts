import type { SpecRecord } from '../../../harness/record/run-record.ts';
import { simple } from './spec.ts';

export function robustnessSpecs(): SpecRecord[] {
  return [
    simple(
      'robustness',
      'survives-a-supply-dip',
      'A supply dip of 10 ms does not restart the lamp.',
      'dropouts',
      'dropouts',
      0,
      0,
      '1',
      '1',
    ),
    simple(
      'robustness',
      'survives-garbled-commands',
      'Garbled console lines change nothing.',
      'level-ratio-change',
      'change of level',
      0.0003,
      0.005,
    ),
    simple(
      'robustness',
      'last-level-comes-back',
      'After power returns, the last level comes back.',
      'level-error',
      'level error against the curve',
      0.011,
      0.05,
    ),
    simple(
      'robustness',
      'a-long-night',
      'After 1,000 random commands the lamp still keeps its curve.',
      'level-error',
      'level error against the curve',
      0.0124,
      0.05,
    ),
  ];
}
