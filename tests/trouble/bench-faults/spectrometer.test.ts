import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../harness/bench/rig.ts';
import { climateRig } from '../../drivers/conformance/shipped-bench.ts';
import { runOne, trouble } from './run-claim.ts';

const patience = { timeout: 90_000 };

const claim = `spec: full-light-colour
claim: The colour of full light is that of its mix.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 500 ms
  - mark: lit
  - hold: 3 s
capture:
  - { signal: colour, of: lamp, integration: 200 ms, every: 500 ms, during: lit }
criteria:
  - { metric: sdcm-steps, of: lamp, during: lit, at-most: 7 }
`;

/** A spectrometer in place of the colour sensor; neither chamber nor relay. */
function spectral({ chamber: _, switch: __, ...rig }: Rig): Rig {
  const others = ['chamber', 'probe', 'relay'];
  return { ...rig, instruments: rig.instruments.filter(({ name }) => !others.includes(name)) };
}

const base = spectral(climateRig);

describe.concurrent('a spectrometer in place of the colour sensor', () => {
  it('passes a healthy lamp, and its spectrum is kept', patience, async () => {
    const { verdict, reason, readings = [] } = await runOne(claim, { base });
    expect(verdict, reason ?? '').toBe('pass');
    expect(readings.length).toBeGreaterThan(2);
    const [first, second] = readings;
    expect(first?.spectrum?.values).toHaveLength(401);
    expect(second?.spectrum).toBeUndefined();
    for (const { standardXy } of readings) expect(standardXy).toBeGreaterThan(0);
  });

  it('fails a lamp of another bin', patience, async () => {
    const faults = [{ fault: 'wrong-bin', size: 0.15 }];
    const { verdict, reason } = await runOne(claim, { base, emulation: { faults } });
    expect(verdict, reason ?? '').toBe('fail');
  });

  it.each([
    ['saturated', trouble('saturated', 'spectrometer')],
    ['silent', trouble('silence', 'spectrometer', { from: 4 })],
    ['cut off', trouble('half', 'spectrometer', { from: 8, once: true })],
    ['replaced', trouble('identity', 'spectrometer', { from: 1 })],
  ] as const)('that is %s says nothing about the lamp', patience, async (_, one) => {
    const { verdict, reason } = await runOne(claim, { base, troubles: [one] });
    expect(['error', 'inconclusive', 'pass'], reason ?? '').toContain(verdict);
  });
});
