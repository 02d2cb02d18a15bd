import type { SpecRecord } from '../../../harness/record/run-record.ts';
import { simple, spec } from './spec.ts';

export function currentSpecs(): SpecRecord[] {
  return [
    simple(
      'current',
      'peak-current-is-held',
      'Peak current stays within 5 % of nominal.',
      'peak-current',
      'peak current',
      0.352,
      0.3675,
      'A',
      'mA',
    ),
    simple(
      'current',
      'ripple-is-small',
      'Ripple stays below a tenth of the mean.',
      'ripple',
      'ripple',
      0.061,
      0.1,
    ),
    simple(
      'current',
      'edges-are-quick',
      'Current rises in less than 2 µs.',
      'rise-time',
      'rise time',
      0.00000082,
      0.000002,
      's',
      'µs',
    ),
    simple(
      'current',
      'supply-does-not-show',
      'A supply from 44 V to 52 V changes the light by less than 0.5 %.',
      'regulation',
      'regulation',
      0.0017,
      0.005,
    ),
    {
      ...spec(
        'current',
        'off-time-is-fixed',
        'The off-time of the output stage stays within 10 %.',
        [],
        ['LUM-090'],
      ),
      verdict: 'not applicable',
      reason: 'The claim needs a fixed-off-time output stage; Alcove-6 has a linear one.',
    },
  ];
}
