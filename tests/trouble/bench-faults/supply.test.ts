import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../harness/bench/rig.ts';
import { runOne, trouble } from './run-claim.ts';

const patience = { timeout: 60_000 };

/** Steady light: any loss of the supply is a dropout, and a sag is a change of level. */
const steady = `spec: steady-light
claim: The light is steady.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 300 ms
  - mark: lit
  - hold: 1500 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: dropouts, of: light, during: lit, at-most: 0 }
`;

/** The spec itself takes the supply away, and gives it back. */
const dipping = steady.replace(
  '  - hold: 1500 ms',
  `  - hold: 500 ms
  - supply: { volts: 44 V }
  - hold: 700 ms
  - supply: { volts: 48 V }
  - hold: 500 ms
  - mark: dark
  - supply: { output: off }
  - hold: 700 ms
  - supply: { output: on }
  - hold: 300 ms`,
);

describe.concurrent('the supply during a record', () => {
  it('is read before, during and after, and the readings are kept', patience, async () => {
    const { verdict, reason, supply, commands } = await runOne(steady);
    expect(verdict, reason ?? '').toBe('pass');
    const [set] = commands;
    expect(set?.left).toBeGreaterThan(0);
    expect(set?.confirmed).toBeGreaterThan(set?.left ?? 0);
    expect(set?.at).toBeGreaterThan(set?.left ?? 0);
    expect(supply?.instrument).toBe('supply');
    const readings = supply?.readings ?? [];
    expect(readings.length).toBeGreaterThanOrEqual(5);
    expect(readings[0]?.at).toBeLessThanOrEqual(0);
    expect(readings.at(-1)?.at).toBeGreaterThan(1.8);
    for (const { volts, on, mode, protections } of readings)
      expect({ volts, on, mode, protections }).toEqual({
        volts: 48,
        on: true,
        mode: 'voltage',
        protections: [],
      });
  });

  it.each([
    ['trips', trouble('trip', 'supply', { after: 1.3 }), /its output was off|voltage lost/],
    [
      'hiccups for 1 ms, between two readings',
      trouble('hiccup', 'supply', { after: 1.3, seconds: 1e-3 }),
      /reports voltage lost between/,
    ],
    [
      'sags in current limit',
      trouble('sag', 'supply', { after: 1.3, seconds: 0.5 }),
      /28\.8 V .* in current limit, where 48 V were set/,
    ],
  ] as const)('%s: an error of the supply, never of the lamp', patience, async (_, one, words) => {
    const { verdict, reason, findings } = await runOne(steady, { troubles: [one] });
    expect(verdict, reason ?? '').toBe('error');
    expect(findings).toEqual([]);
    expect(reason).toMatch(words);
    expect(reason).toMatch(/had drawn up to [1-9][\d.]* A/);
  });

  it('limits the current that a lamp draws: names it', patience, async () => {
    const { verdict, reason } = await runOne(steady, {
      change: (rig) => ({
        ...rig,
        supply: { instrument: 'supply', highestVolts: 60, highestAmps: 0.8 },
      }),
    });
    expect(verdict).toBe('error');
    expect(reason).toMatch(/where 48 V were set|reports current limit/);
    expect(reason).toMatch(/its limit is 0.8 A/);
  });

  it('trips while the lamp does not answer: the supply is what is told', patience, async () => {
    const talking = steady.replace(
      'hold: 1500 ms',
      'hold: 800 ms\n  - set: { level: 50 % }\n  - hold: 200 ms',
    );
    const { verdict, reason } = await runOne(talking, {
      troubles: [trouble('trip', 'supply', { after: 1 })],
    });
    expect(verdict).toBe('error');
    expect(reason).toMatch(/its output was off/);
  });
});

describe.concurrent('a spec that dips and switches the supply itself', () => {
  it('is not blamed for it', patience, async () => {
    const { verdict, reason, supply } = await runOne(dipping);
    expect(verdict, reason ?? '').not.toBe('error');
    expect(supply?.readings.some(({ on }) => !on)).toBe(true);
  });

  it('is told of a trip all the same', patience, async () => {
    const { verdict, reason } = await runOne(dipping, {
      troubles: [trouble('trip', 'supply', { after: 0.9, from: 2, once: true })],
    });
    expect(verdict).toBe('error');
    expect(reason).toMatch(/its output was off/);
  });
});

const startUp = `spec: start-up
claim: The lamp has its light soon after its power came.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 400 ms
  - mark: lit
  - hold: 200 ms
  - supply: { output: off }
  - hold: 600 ms
  - mark: powered
  - supply: { output: on }
  - hold: 400 ms
capture:
  - { signal: light, of: light, rate: 5 kHz }
criteria:
  - { metric: highest-level, of: light, during: powered, reference: lit, at-least: 90 % }
`;

const lower = `spec: lower
claim: The lamp keeps its light at a lower voltage.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 400 ms
  - mark: lit
  - supply: { volts: 40 V }
  - hold: 700 ms
capture:
  - { signal: light, of: light, rate: 5 kHz }
criteria:
  - { metric: dropouts, of: light, during: lit, at-most: 0 }
`;

describe.concurrent('a supply whose voltage at the lamp is not wired', () => {
  const change = (rig: Rig): Rig => ({
    ...rig,
    wiring: rig.wiring.filter(({ signal }) => signal !== 'supply-voltage'),
  });

  it.each([
    ['rises over 2 s', startUp, trouble('slow-rise', 'supply', { seconds: 2, from: 3 })],
    ['gives another voltage than ordered', steady, trouble('other-volts', 'supply')],
    [
      'gives another voltage than ordered in between',
      lower,
      trouble('other-volts', 'supply', { from: 3 }),
    ],
  ])('and that %s: its own readings tell', patience, async (_, spec, one) => {
    const { verdict, reason } = await runOne(spec, { change, troubles: [one] });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/^supply: it says that its output is on, but it gave/);
  });
});
