import type { Reason } from '../measure/outcome.ts';
import type { Ending } from './verdict.ts';

/**
 * What it means for a claim that its quantity could not be measured. The record's own shortcomings are the bench's
 * (`error`); light that does not do at all what was commanded is the lamp's (`fail`); what neither explains stays open.
 */
const meaning: Readonly<Record<Reason, Ending>> = {
  'no-record': 'error',
  empty: 'error',
  'not-finite': 'error',
  'negative-light': 'error',
  saturated: 'error',
  'too-short': 'error',
  'too-slow': 'error',
  'too-narrow': 'error',
  'no-reference': 'error',
  'no-zero': 'error',
  unresolved: 'inconclusive',
  untimed: 'inconclusive',
  untold: 'inconclusive',
  'below-noise': 'inconclusive',
  'out-of-domain': 'inconclusive',
  'no-periodicity': 'inconclusive',
  dark: 'fail',
  'no-fade': 'fail',
  'not-a-straight-fade': 'fail',
  'no-edge': 'fail',
  'no-plateau': 'fail',
  'off-locus': 'fail',
};

export function verdictOfUnmeasurable(reason: Reason): Ending {
  return meaning[reason];
}
