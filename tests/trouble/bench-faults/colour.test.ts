import { describe, expect, it } from 'vitest';
import { runOne, trouble } from './run-claim.ts';

const patience = { timeout: 90_000 };

const noShift = `spec: no-shift
claim: The white point does not move while the lamp dims.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 400 ms
  - mark: full
  - hold: 500 ms
  - set: { level: 20 % }
  - hold: 400 ms
  - mark: dimmed
  - hold: 500 ms
capture:
  - { signal: colour, of: lamp, integration: 100 ms, every: 250 ms }
criteria:
  - { metric: uv-shift, of: lamp, during: dimmed, reference: full, at-most: 0.01 }
`;

describe.concurrent('a colour sensor', () => {
  it('that reads anew each time lets the lamp pass, and its proof is kept', patience, async () => {
    const { verdict, reason, freshness } = await runOne(noShift);
    expect(verdict, reason ?? '').toBe('pass');
    expect(freshness).toContainEqual({ instrument: 'colour-sensor', proof: 'light' });
  });

  // The dark look is the first reading.
  it.each([3, 4])('that freezes at reading %i: an error of its own', patience, async (from) => {
    const { verdict, reason, findings } = await runOne(noShift, {
      troubles: [trouble('frozen', 'colour-sensor', { from })],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(findings).toEqual([]);
    expect(reason).toMatch(/^colour-sensor: .*the same to the last digit/);
  });

  it.each([1, 2])('that shows the dark from reading %i on says nothing', patience, async (from) => {
    const { verdict, reason } = await runOne(noShift, {
      troubles: [trouble('frozen', 'colour-sensor', { from })],
    });
    expect(['error', 'inconclusive'], reason ?? '').toContain(verdict);
  });

  it('that is dead: an error of its own', patience, async () => {
    const { verdict, reason } = await runOne(noShift, {
      troubles: [trouble('dead', 'colour-sensor')],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/^colour-sensor: .* is 0, 0, 0, and it calls that good/);
  });
});
