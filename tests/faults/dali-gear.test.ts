import { afterAll, describe, expect, test } from 'vitest';
import { sampled } from '../sampled.ts';
import { closeLanes, firstNamed, nominal, verdictsOf } from './trial.ts';

/** A fault for each claim of the DALI gear and its memory; the others are tried by `evenfall challenge`. */
const tried = [
  'high-groups-lost',
  'foreign-address-obeyed',
  'mask-lets-fades-run',
  'scene-number-cut',
  'dark-below-minimum',
  'extended-fade-off-by-one',
  'run-too-long',
  'step-down-goes-off',
  'last-active-full',
  'fade-time-moves-fades',
  'fade-told-too-long',
  'limits-in-answers-only',
  'last-level-before-power-on',
  'bus-failure-early',
  'groups-forgotten',
  'mix-forgotten',
  'same-level-ignored',
  'power-on-dropout',
  'memory-worn',
  'dapc-sequence-stays',
  'second-after-others',
  'stored-level-full',
];

/** Seconds of an idle machine, much more of a busy one. */
const patience = 300_000;

afterAll(closeLanes);

describe('the claim that a fault of the gear names first', () => {
  for (const fault of sampled(tried, 5)) {
    const spec = firstNamed(fault);
    test(
      `${spec} catches ${fault}`,
      async () => {
        expect(await verdictsOf({ fault: nominal(fault), specs: [spec] })).toEqual({
          [spec]: 'fail',
        });
      },
      patience,
    );
  }
});
