import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { openRig } from '../../../drivers/open-rig.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { makeSafe } from '../../../harness/run/condition/make-safe.ts';
import { climateRig, lamp } from '../../drivers/conformance/shipped-bench.ts';
import { openTestEmulation, rigFor } from '../../drivers/emulate/open-test-bench.ts';
import { runOne, trouble } from './run-claim.ts';

const patience = { timeout: 90_000 };

/** Power is taken away for longer than a lamp lives without, and the light has to be gone. */
const cycled = `spec: dark-without-power
claim: Without power there is no light.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 500 ms
  - mark: gone
  - supply: { output: off }
  - hold: 500 ms
  - mark: dark
  - hold: 3500 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: highest-level, of: light, during: dark, reference: gone, at-most: 50 % }
`;

/** The relay alone, a supply that nobody can set, no chamber. */
function relayOnly({ chamber: _, supply: __, ...rig }: Rig): Rig {
  const instruments = rig.instruments.filter(
    ({ name }) => !['chamber', 'probe', 'supply'].includes(name),
  );
  return { ...rig, instruments };
}

const base = relayOnly(climateRig);
const steady = cycled.replace('  - supply: { output: off }\n', '');

describe.concurrent('a relay in the supply of the lamp', () => {
  it('switches the lamp, and its readings are kept', patience, async () => {
    const { reason, commands, switch: relay } = await runOne(cycled, { base });
    expect(reason ?? '').not.toMatch(/relay/);
    expect(commands.map(({ verb }) => verb)).toContain('supply');
    expect(relay?.instrument).toBe('relay');
    expect(relay?.readings[0]).toMatchObject({ on: true });
    expect(relay?.readings.at(-1)).toMatchObject({ on: false });
  });

  it('that has welded is an error of the relay: the lamp still answers', patience, async () => {
    const welded = trouble('welded', 'relay', { from: 1 });
    const { verdict, reason, findings } = await runOne(cycled, { base, troubles: [welded] });
    expect(verdict, reason ?? '').toBe('error');
    expect(findings).toEqual([]);
    expect(reason).toMatch(
      /it was switched off 2 s before, but the lamp answers on (console|dali)/,
    );
  });

  it('that has welded is told by the light where the lamp cannot be asked', patience, async () => {
    const welded = trouble('welded', 'relay', { from: 1 });
    const deaf: Rig = { ...base, switch: { instrument: 'relay', livesOn: null } };
    const { verdict, reason } = await runOne(cycled, { base: deaf, troubles: [welded] });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/the light of the lamp is still at (9\d|100) %/);
  });

  it('that has welded and senses it is told by its own contact', patience, async () => {
    const welded = trouble('welded', 'relay', { from: 1 });
    const { verdict, reason } = await runOne(cycled, {
      base,
      troubles: [welded],
      change: (rig) => ({
        ...rig,
        instruments: rig.instruments.map((one) =>
          one.name === 'relay'
            ? {
                ...one,
                settings: {
                  ...(one.settings as object),
                  profile: resolve('tests/trouble/bench-faults/sensing-relay.profile.yaml'),
                },
              }
            : one,
        ),
      }),
    });
    expect(verdict).toBe('error');
    expect(reason).toMatch(/it was switched off, but it says that it is on/);
  });

  it('whose contacts do not close is no dark lamp', patience, async () => {
    const lost = trouble('contact-lost', 'relay');
    const { verdict, reason } = await runOne(steady, { base, troubles: [lost] });
    expect(verdict, reason ?? '').toBe('error');
  });

  it('is opened by the safe state, also where the supply is left on', patience, async () => {
    const emulation = await openTestEmulation({ rig: base });
    try {
      const rig = rigFor(emulation, { base });
      const open = await openRig({ rig, lamp, folder: resolve('specs/rigs') });
      const relay = open.instruments.get('relay');
      if (relay?.kind !== 'switch') throw new Error('expected a relay');
      await relay.output(true, { signal: new AbortController().signal, deadline: 3 });
      expect(emulation.live.closed).toBe(true);
      const safe = { ...rig.safe, supply: 'leave' as const };
      const outcome = await makeSafe(open, { ...rig, safe });
      expect(outcome).toMatchObject({ confirmed: true });
      expect(outcome.detail).toMatch(/relay: off/);
      expect(emulation.live.closed).toBe(false);
      await open.close();
    } finally {
      await emulation.close();
    }
  });
});
