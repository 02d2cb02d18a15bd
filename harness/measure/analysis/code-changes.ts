import { sampleAt } from '../signal/samples.ts';
import type { Waveform } from '../waveform.ts';

/** How often a record's code changes from one sample to the next; 0 without a stated step. */
export function codeChanges({ samples, step = 0 }: Waveform): number {
  if (!(step > 0)) return 0;
  let changes = 0;
  for (let k = 1; k < samples.length; k++)
    if (Math.abs(sampleAt(samples, k) - sampleAt(samples, k - 1)) > step / 2) changes++;
  return changes;
}
