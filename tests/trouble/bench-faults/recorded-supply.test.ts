import { describe, expect, it } from 'vitest';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

const patience = { timeout: 90_000 };

const steady = `spec: steady
claim: The lamp keeps its light.
stimulus:
  - set: { level: 50 %, mix: all }
  - hold: 300 ms
  - mark: lit
  - hold: 2 s
capture:
  - { signal: light, rate: 10 kHz }
criteria:
  - { metric: blackouts, of: light, during: lit, at-most: 0 }
`;

const returning = `spec: returning
claim: The lamp comes back as it was.
stimulus:
  - set: { level: 50 %, mix: all }
  - hold: 300 ms
  - mark: before
  - hold: 400 ms
  - supply: { output: off }
  - hold: 1 s
  - supply: { output: on }
  - hold: 600 ms
  - mark: after
  - hold: 500 ms
capture:
  - { signal: light, rate: 10 kHz }
criteria:
  - { metric: level-ratio, of: light, during: after, reference: before, target: 100 %, tolerance: ± 10 % }
`;

describe.concurrent('the voltage at the lamp, recorded along', () => {
  it.each([
    ['keeps its light', steady],
    ['comes back', returning],
  ])('lets a healthy lamp be judged that %s', patience, async (_, spec) => {
    const found = await runClaims(spec, []);
    expect(verdictsOf(found), storyOf(found)).not.toContain('error');
  });

  it('shows a gap that the supply does not read', patience, async () => {
    const found = await runClaims(steady, ['gap-hidden=20 ms,after=1.5 s,on=supply']);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]!.reason).toMatch(/V at the lamp were recorded at .* output was to be on/);
  });

  it('shows an output that stays on and reads 0 V', patience, async () => {
    const found = await runClaims(returning, ['stays-on-unread,on=supply']);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]!.reason).toMatch(
      /4[78]\.?\d* V at the lamp .* after its output was switched off/,
    );
  });
});
