import { describe, expect, it } from 'vitest';
import { sampled } from '../../sampled.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

/** The lamp needs 300 ms from its power to its light. */
const returns = (hold: string): string => `spec: returns
claim: The lamp comes again with its supply, without a flash.
stimulus:
  - set: { level: 60 %, mix: all }
  - hold: 400 ms
  - mark: before
  - hold: 300 ms
  - mark: gone
  - supply: { output: off }
  - hold: 500 ms
  - mark: coming
  - supply: { output: on }
  - hold: ${hold}
  - mark: back
  - hold: 400 ms
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: highest-level, of: light, during: coming, reference: before, at-most: 120 % }
  - { metric: dropouts, of: light, during: back, at-most: 0 }
`;

const patience = { timeout: 90_000 };
const flash = { faults: [{ fault: 'power-on-flash', size: 1 }] };

describe('a supply whose commands are late', () => {
  // Two messages switch it on: with 15 ms each the light comes 30 ms late, when the window has begun.
  it.each(sampled(['late=20 ms', 'late=50 ms', 'held-up=15 ms', 'held-up=50 ms'], 2))(
    'by %s: never the lamp',
    patience,
    async (kind) => {
      const found = await runClaims(returns('310 ms'), [`${kind},on=supply`], {
        errorIsRight: true,
      });
      expect(verdictsOf(found), storyOf(found)).not.toContain('fail');
    },
  );

  it.each(sampled(['late=50 ms', 'held-up=50 ms'], 1))(
    'lets no flash at power-on pass: %s',
    patience,
    async (kind) => {
      const found = await runClaims(returns('600 ms'), [`${kind},on=supply`], {
        ...flash,
        errorIsRight: true,
      });
      expect(verdictsOf(found), storyOf(found)).not.toContain('pass');
    },
  );
});

describe('a supply on time', () => {
  it('lets a good lamp pass', patience, async () => {
    const found = await runClaims(returns('600 ms'), []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass']);
  });

  it('lets one that flashes fail', patience, async () => {
    const found = await runClaims(returns('600 ms'), [], flash);
    expect(verdictsOf(found), storyOf(found)).toEqual(['fail']);
  });

  it('lets one that takes too long fail', patience, async () => {
    const found = await runClaims(returns('150 ms'), []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['fail']);
  });
});
