import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Rig } from '../../../harness/bench/rig.ts';
import { makeRigSafe } from '../../../harness/workflow/rig/rig-safe.ts';
import { lamp } from '../../drivers/conformance/shipped-bench.ts';
import {
  openInstrument,
  openTestEmulation,
  rigFor,
} from '../../drivers/emulate/open-test-bench.ts';
import { runOne, trouble } from './run-claim.ts';

const patience = { timeout: 60_000 };

/** Passes on a lamp that holds its light up, and on one that was never switched off. */
const cut = (seconds: string, criterion: string): string => `spec: power-cut
claim: The light after its supply has been switched off.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 400 ms
  - mark: lit
  - hold: 300 ms
  - mark: cut
  - supply: { output: off }
  - hold: ${seconds}
${criterion.includes('back') ? '  - mark: back\n  - supply: { output: on }\n  - hold: 700 ms\n' : ''}capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - ${criterion}
`;

/** The voltage at the lamp, which tells more, is not wired. */
const withoutVoltage = (rig: Rig): Rig => ({
  ...rig,
  wiring: rig.wiring.filter(({ signal }) => signal !== 'supply-voltage'),
});

const holdsUp = '{ metric: dropouts, of: light, during: cut, at-most: 0 }';
const noFlash = '{ metric: highest-level, of: light, during: cut, reference: lit, at-most: 300 % }';

describe.concurrent('a supply that does not do what it says', () => {
  it('stays on, and says that it is off: its own readings tell', patience, async () => {
    const { verdict, reason, supply } = await runOne(cut('700 ms', holdsUp), {
      troubles: [trouble('stays-on', 'supply')],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/says that its output is off, but it reads 48 V and [1-9][\d.]* A/);
    expect(supply?.readings.some(({ on, volts }) => !on && volts > 47)).toBe(true);
  });

  it('stays on, and reads 0 V and 0 A: the light tells', patience, async () => {
    const { verdict, reason } = await runOne(cut('2500 ms', holdsUp), {
      change: withoutVoltage,
      troubles: [trouble('stays-on-unread', 'supply')],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(
      /says that its output is off, but the light of the lamp is still at 100 %/,
    );
  });

  it('goes off 0.6 s late, and says so at once', patience, async () => {
    const { verdict, reason } = await runOne(cut('1 s', noFlash), {
      troubles: [trouble('off-late', 'supply', { seconds: 0.6 })],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/says that its output is off, but it reads 48 V/);
  });

  it('does not take the power away for half a second', patience, async () => {
    const { verdict, reason } = await runOne(
      cut('500 ms', '{ metric: dropouts, of: light, during: back, at-most: 0 }'),
      { troubles: [trouble('off-late', 'supply', { seconds: 0.6 })] },
    );
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/says that its output is off, but it reads 48 V/);
  });

  it('stays on between two conditions', patience, async () => {
    const { verdict, reason } = await runOne(cut('200 ms', holdsUp), {
      troubles: [trouble('stays-on', 'supply')],
      meanwhile: (emulation) =>
        void emulation.live.setSource(48).then(() => emulation.live.setPower(true)),
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/reads 48 V and .* after it was switched off, before the condition/);
  });

  it('lets a lamp pass that holds nothing up', patience, async () => {
    const { verdict, reason, supply } = await runOne(cut('1 s', noFlash));
    expect(verdict, reason ?? '').toBe('pass');
    expect(supply?.readings.filter(({ on }) => !on).length).toBeGreaterThanOrEqual(3);
  });
});

describe.concurrent('the safe state', () => {
  async function safe(kind: 'stays-on' | 'off-late' | null) {
    const emulation = await openTestEmulation();
    try {
      const rig = rigFor(emulation);
      const supply = await openInstrument(rig, 'supply');
      if (supply.kind !== 'supply') throw new Error('a supply expected');
      const call = { deadline: 5, signal: new AbortController().signal };
      await supply.set({ volts: 48 }, call);
      await supply.output(true, call);
      await supply.close();
      if (kind) emulation.troubles.set([trouble(kind, 'supply', { seconds: 0.6 })]);
      return await makeRigSafe({ rig, lamp, folder: resolve('specs/rigs') });
    } finally {
      await emulation.close();
    }
  }

  it('is not confirmed while the terminals carry a voltage', patience, async () => {
    const { confirmed, detail } = await safe('stays-on');
    expect(confirmed).toBe(false);
    expect(detail).toMatch(/says that its output is off, but its terminals still carry 48 V and/);
  });

  it('is confirmed once a voltage that goes late has gone', patience, async () => {
    const { confirmed, detail } = await safe('off-late');
    expect(confirmed, detail).toBe(true);
    expect(detail).toMatch(/supply: output off, read back as 0 V and 0 A/);
  });
});
