import { afterAll, expect, test } from 'vitest';
import { sampled } from '../sampled.ts';
import { closeLanes, nominal, verdictsOf } from './trial.ts';

/**
 * Exactly the claims of the commit subset that each fault breaks at its nominal size, in the order of the library. A
 * dropout at the bottom breaks fades too, for most of them end there. A fade up that is linear in light ends on time: only its line
 * does not, so the claim of its duration stays undecided.
 */
const broken: Readonly<Record<string, readonly string[]>> = {
  // A fade that is not straight on its curve has no end that a time could be measured to.
  'linear-dimming': [
    'crossfade-arrives-together',
    'fade-follows-curve',
    'fades-on-time',
    'fades-up-on-time',
    'no-visible-step',
    'retarget-without-jump',
  ],
  'coarse-fade-steps': [
    'crossfade-arrives-together',
    'fade-follows-curve',
    'no-visible-step',
    'retarget-without-jump',
  ],
  'late-channels': [
    'crossfade-arrives-together',
    'fade-follows-curve',
    'fades-on-time',
    'fades-up-on-time',
    'no-visible-step',
    'retarget-without-jump',
  ],
  'bottom-dropout': [
    'follows-curve',
    'intensity-times-level',
    'mix-reaches-bottom',
    'reaches-bottom',
    'crossfade-arrives-together',
    'fade-follows-curve',
    'fades-on-time',
    'fades-up-on-time',
    'no-visible-step',
    'retarget-without-jump',
    'low-risk',
  ],
  'slow-pwm': ['at-once', 'low-frequency-quiet', 'low-risk', 'no-beat'],
  'truncated-intensities': ['intensity-times-level', 'crossfade-arrives-together'],
};

/** Minutes of lamp time: seconds of an idle machine, much more of a busy one. */
const patience = 600_000;

afterAll(closeLanes);

test(
  'a healthy lamp breaks none of the commit subset',
  async () => {
    const { 'nominal-current': linear, ...verdicts } = await verdictsOf({ fault: null });
    expect(Object.keys(verdicts).length).toBeGreaterThan(20);
    expect(new Set(Object.values(verdicts))).toEqual(new Set(['pass']));
    // The lamp's stage is no linear one.
    expect(linear).toBe('not applicable');
  },
  patience,
);

for (const [fault, claims] of sampled(Object.entries(broken), 1)) {
  test(
    `${fault} breaks ${claims.join(', ')} and nothing else`,
    async () => {
      const verdicts = await verdictsOf({ fault: nominal(fault) });
      const failed = Object.keys(verdicts).filter((spec) => verdicts[spec] === 'fail');
      expect(failed).toEqual(claims);
    },
    patience,
  );
}
