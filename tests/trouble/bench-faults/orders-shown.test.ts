import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../harness/bench/rig.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

const patience = { timeout: 90_000 };

/** Passes on a lamp that was never without power. */
const returns = (gap: string) => `spec: returns
claim: After a gap of its supply the lamp comes back as it was.
stimulus:
  - set: { level: 60 %, mix: all }
  - hold: 300 ms
  - mark: before
  - hold: 300 ms
  - mark: gone
  - supply: { output: off }
  - hold: ${gap}
  - supply: { output: on }
  - hold: 500 ms
  - set: { level: 60 %, mix: all }
  - hold: 300 ms
  - mark: after
  - hold: 300 ms
capture:
  - { signal: light, of: light, rate: 5 kHz }
criteria:
  - { metric: level-ratio, of: light, during: after, reference: before, between: [90 %, 110 %] }
`;

/** Passes on a lamp whose supply never dipped. */
const dips = (hold: string) => `spec: dips
claim: Dips of the supply do not move the light.
stimulus:
  - set: { level: 100 %, mix: all }
  - hold: 300 ms
  - mark: before
  - hold: 300 ms
  - mark: dip
  - supply: { volts: 44 V }
  - hold: ${hold}
  - supply: { volts: 48 V }
  - hold: 300 ms
  - mark: after
  - hold: 300 ms
capture:
  - { signal: light, of: light, rate: 5 kHz }
criteria:
  - { metric: level-ratio, of: light, during: after, reference: before, between: [95 %, 105 %] }
`;

const withoutVoltage = (rig: Rig): Rig => ({
  ...rig,
  wiring: rig.wiring.filter(({ signal }) => signal !== 'supply-voltage'),
});

describe.concurrent('a supply that confirms what it never does', () => {
  it.each([
    ['a gap of 20 ms', returns('20 ms'), 'stays-on-unread'],
    ['a gap of 150 ms', returns('150 ms'), 'stays-on-unread'],
    ['a dip of 20 ms', dips('20 ms'), 'volts-ignored'],
    ['a dip of 300 ms', dips('300 ms'), 'volts-ignored'],
  ])('%s: an error, where the voltage at the lamp is recorded', patience, async (_, spec, kind) => {
    const found = await runClaims(spec, [`${kind},on=supply`]);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]!.reason).toMatch(/^supply: .*nothing of it shows in the voltage at the lamp/);
  });

  it('a dip of 20 ms: an error, where nothing can show it', patience, async () => {
    const found = await runClaims(dips('20 ms'), [], { rig: withoutVoltage });
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]!.reason).toMatch(/nothing shows whether .* wire supply-voltage/);
  });

  it.each([
    ['a gap of 20 ms', returns('20 ms'), undefined],
    ['a gap of 500 ms', returns('500 ms'), undefined],
    ['a gap of 500 ms, without the voltage', returns('500 ms'), withoutVoltage],
    ['a dip of 20 ms', dips('20 ms'), undefined],
    ['a dip of 600 ms, without the voltage', dips('600 ms'), withoutVoltage],
  ])('that obeys lets a healthy lamp be judged: %s', patience, async (_, spec, rig) => {
    const found = await runClaims(spec, [], rig ? { rig } : {});
    expect(verdictsOf(found), storyOf(found)).toEqual(['pass']);
  });
});
