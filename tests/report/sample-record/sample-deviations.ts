import type { RunRecord } from '../../../harness/record/run-record.ts';

export function sampleDeviations(): RunRecord['deviations'] {
  return [
    {
      kind: 'simulated instruments',
      text: 'digitiser, photodiode, colour sensor and supply are simulated (plant, seed 41).',
    },
    {
      kind: 'retry',
      text: 'flicker/no-bands-on-a-camera, shutter=1/500 s: measured again after the digitiser did not answer in 2 s.',
    },
  ];
}
