import { describe, expect, it } from 'vitest';
import { sampled } from '../../sampled.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

const patience = { timeout: 90_000 };

const dims = `spec: dims
claim: The lamp dims, and keeps its colour.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 500 ms
  - mark: full
  - hold: 400 ms
  - mark: turning
  - set: { level: 1 % }
  - hold: 500 ms
  - mark: low
  - hold: 400 ms
capture:
  - { signal: light, rate: 10 kHz }
  - { signal: channel-current, of: warm, rate: 10 kHz }
  - { signal: colour, of: lamp, integration: 100 ms, every: 200 ms }
criteria:
  - { metric: level-ratio, of: light, during: low, reference: full, target: 1 %, tolerance: ± 30 % }
  - { metric: uv-shift, of: lamp, during: low, reference: full, at-most: 0.02 }
`;

// Each is there from the beginning, so that no look tells a difference.
const unseen = [
  ['all inputs shifted', 'shifted,on=digitiser', /^digitiser: input \d+ reads a mean of -/],
  [
    'one current shifted',
    'shifted,on=digitiser,input=1',
    /^digitiser: input 1 reads a mean of -0\.03 A/,
  ],
  ['hum', 'hum,on=digitiser', /^digitiser: input \d+ reads .* of a lamp without power/],
  ['bytes swapped', 'swapped,on=digitiser,input=10', /^digitiser: input 10 reads/],
  ['a bit stuck', 'stuck-bit,on=digitiser,input=10', /^digitiser: input 10 reads/],
  ['light of the room', 'ambient,on=colour-sensor', /^colour-sensor: it reads 15.* 15.* lx/],
  ['a dead filter', 'filter-dead,on=colour-sensor', /^colour-sensor: .* next to no Z/],
] as const;

describe('a bench that does not see the dark as dark', () => {
  it('is believed when it does', patience, async () => {
    const found = await runClaims(dims, []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass']);
  });

  it.each(sampled(unseen, 2))(
    '%s: an error of the instrument',
    patience,
    async (_, trouble, why) => {
      const found = await runClaims(dims, [trouble]);
      expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
      expect(found[0]!.reason).toMatch(why);
    },
  );
});
