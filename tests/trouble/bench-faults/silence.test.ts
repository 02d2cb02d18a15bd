import { describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { runOne, trouble } from './run-claim.ts';

const patience = { timeout: 90_000 };

const talking = `spec: talks
claim: The lamp goes on to take commands.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 800 ms
  - set: { level: 50 %, link: console }
  - hold: 200 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: dropouts, of: light, at-most: 0 }
`;

/** Before the claim the bench looks at the lamp with this many commands: at full, and five jumps. */
const looked = 6;

/** A while after the power-on of the claim, the second one, the processor hangs until its power is switched. */
function hangs({ live }: Emulation): void {
  let [ons, was] = [0, false];
  const timer = setInterval(() => {
    if (live.on && !was) ons++;
    was = live.on;
    if (ons < 2) return;
    clearInterval(timer);
    setTimeout(() => live.simulation.hang(), 900);
  }, 10);
}

describe.concurrent('a lamp that falls silent', () => {
  it('hangs until its power is cycled: its own failure', patience, async () => {
    const { verdict, reason, findings } = await runOne(talking, {
      deadline: 2,
      meanwhile: hangs,
    });
    expect(verdict, reason ?? '').toBe('fail');
    expect(reason).toMatch(
      /console stayed silent; .*dali stayed silent.*; console answered after a power cycle/,
    );
    expect(findings[0]?.reason).toMatch(/^The lamp fell silent for good/);
  });

  it('was silent once: an error of whatever lost the answer', patience, async () => {
    const { verdict, reason } = await runOne(talking, {
      deadline: 2,
      troubles: [trouble('silence', 'console', { from: looked + 2, once: true })],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/Asked again, console answered: an answer was lost/);
  });

  it('is heard byte by byte, too slowly: an error, since it is not silent', patience, async () => {
    const { verdict, reason } = await runOne(talking, {
      deadline: 2,
      troubles: [trouble('drip', 'console', { from: looked + 2, seconds: 1.5 })],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/console began to answer \(\d bytes\), but no line of it had ended/);
  });

  it('stays silent after a power cycle: an error that names both', patience, async () => {
    const { verdict, reason } = await runOne(talking, {
      deadline: 2,
      troubles: [trouble('silence', 'console', { from: looked + 2 })],
    });
    expect(verdict, reason ?? '').toBe('error');
    expect(reason).toMatch(/dali answered; console stayed silent after a power cycle of the lamp/);
    expect(reason).toMatch(/either the lamp's firmware hangs for good, or what carries console/);
  });

  it('is alive on another link, on a rig without a supply: its own failure', patience, async () => {
    const { verdict, reason } = await runOne(talking, {
      deadline: 2,
      change: withoutSupply,
      meanwhile: ({ live }) => {
        void live.setSource(48);
        void live.setPower(true);
      },
      troubles: [trouble('silence', 'console', { from: looked + 4 })],
    });
    expect(verdict, reason ?? '').toBe('fail');
    expect(reason).toMatch(/console stayed silent; dali answered/);
  });
});

function withoutSupply({ supply: _, ...rig }: Rig): Rig {
  return { ...rig, safe: { ...rig.safe, supply: 'leave' } };
}
