import { describe, expect, it } from 'vitest';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

const patience = { timeout: 90_000 };

const standby = `spec: standby
claim: Switched off the lamp draws little.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 700 ms
  - set: { level: 0 % }
  - hold: 300 ms
  - mark: off
  - hold: 1 s
capture:
  - { signal: supply-voltage, rate: 10 kHz, during: off }
  - { signal: supply-current, rate: 10 kHz, during: off }
criteria:
  - { metric: input-power, of: lamp, during: off, at-most: 0.5 W }
`;

const inrush = `spec: inrush
claim: The current into the lamp stays small when the supply comes.
stimulus:
  - supply: { output: off }
  - hold: 1 s
  - mark: powered
  - supply: { output: on }
  - hold: 600 ms
capture:
  - { signal: supply-current, rate: 100 kHz, during: powered }
criteria:
  - { metric: inrush-current, of: lamp, during: powered, at-most: 30 A }
`;

const drawn = standby
  .replace('set: { level: 0 % }', 'set: { level: 90 % }')
  .replace('at-most: 0.5 W', 'at-most: 150 W');

describe.concurrent('an input that reads a fifth of the current', () => {
  it.each([
    ['full', drawn],
    ['standby', standby],
    ['inrush', inrush],
  ])('%s: the supply’s own reading contradicts it', patience, async (_, spec) => {
    const found = await runClaims(spec, ['fifth,on=digitiser,input=14']);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]!.reason).toMatch(
      /^digitiser: input 14 reads a mean of .* where the supply says that it draws/,
    );
  });

  it.each([
    ['full', drawn],
    ['standby', standby],
    ['inrush', inrush],
  ])('%s: a sound one is believed', patience, async (_, spec) => {
    const found = await runClaims(spec, []);
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass']);
  });
});

describe.concurrent('an input of the voltage that is dead', () => {
  it('is not taken for a supply that is off', patience, async () => {
    const found = await runClaims(drawn, ['noise-only,on=digitiser,input=13']);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]!.reason).toMatch(
      /^digitiser: input 13 reads a mean of .* where the supply says that it gives 48 V/,
    );
  });
});
