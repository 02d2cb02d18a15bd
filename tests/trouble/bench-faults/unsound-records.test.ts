import { describe, expect, it } from 'vitest';
import { sampled } from '../../sampled.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

/** Light and currents of steady light, and of a fade. */
const claims = `spec: steady
claim: The lamp is steady, and fades on time.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 300 ms
  - mark: full
  - hold: 300 ms
  - mark: fading
  - fade: { level: 50 %, over: 300 ms }
  - hold: 500 ms
capture:
  - { signal: light, rate: 20 kHz }
  - { signal: channel-current, rate: 20 kHz }
criteria:
  - { metric: mean-current, of: warm, during: full, at-most: 800 mA }
  - { metric: mean-current, of: warm, during: full, at-least: 400 mA }
  - { metric: fade-duration, of: light, during: fading, target: 300 ms, tolerance: ± 20 % }
`;

const patience = { timeout: 90_000 };

const unsound = [
  ['stops within the record', 'stuck', /stands at one value/],
  ['goes round in a ring', 'ring', /has the same \d+ samples at/],
  ['cuts its input flat', 'flat-top', /stands at one value/],
  [
    'puts zeros in for what it lost',
    'gaps',
    /stands at one value, -?0(\.\d+)? \S+, for 100 samples/,
  ],
  [
    'has dead bits',
    'coarse',
    // Codes cut to whole steps move the zero, too.
    /stands at one value|moves in steps of 1024 codes|reads a mean of \S+ lx of a lamp without power/,
  ],
  ['is not connected', 'unplugged', /stands at one value/],
  ['tells a scale a thousand times too large', 'thousand-fold', /reads \S+ \S+; expected no more/],
] as const;

describe('a digitiser that hands over what no input can have seen', () => {
  it('is believed when it does not', patience, async () => {
    const found = await runClaims(claims, []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass']);
  });

  it.each(sampled(unsound, 2))('%s: an error of the bench', patience, async (_, kind, why) => {
    const found = await runClaims(claims, [`${kind},on=digitiser`]);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]!.reason).toMatch(why);
  });
});
