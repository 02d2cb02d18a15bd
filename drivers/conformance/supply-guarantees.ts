import type { Supply } from '../../harness/bench/ports.ts';
import { type Candidate, expectThat, type Guarantee, plainCall, Unproven } from './guarantee.ts';
import { rejectsWith, resolves } from './settled.ts';

/** A supply reads back what was set within this, relative, and within a tenth of a volt. */
const readBack = 0.03;

export const supplyGuarantees: readonly Guarantee<'supply'>[] = [
  {
    guarantee:
      'The output reads back as on at the voltage that was set, and as off, without voltage, after it was switched off',
    kinds: ['supply'],
    check: async (supply, candidate) => {
      const volts = candidate.lamp.supply.nominal;
      try {
        await set(supply, volts, candidate);
        await output(supply, true, candidate);
        const lit = await read(supply, candidate);
        expectThat(lit.on, 'the output was switched on, but reads back as off');
        expectThat(
          Math.abs(lit.volts - volts) <= readBack * volts + 0.1,
          `${volts} V were set, but ${lit.volts} V read back`,
        );
        expectThat(lit.amps >= 0, `the current should be at least 0 A, but reads ${lit.amps} A`);
      } finally {
        await output(supply, false, candidate);
      }
      const { on } = await read(supply, candidate);
      expectThat(!on, 'the output was switched off, but reads back as on');
      await voltageFalls(supply, volts, candidate);
    },
  },
  {
    guarantee: 'A voltage beyond the limit of the rig is refused',
    kinds: ['supply'],
    check: async (supply, candidate) => {
      const { highestVolts } = candidate;
      if (highestVolts === undefined) throw new Unproven('the rig states no limit');
      const beyond = supply.set({ volts: highestVolts * 1.1 + 1 }, plainCall(candidate));
      await rejectsWith(beyond, ['refused'], candidate.deadline, 'set() beyond the limit');
    },
  },
];

/** Charged capacitors have given away half of their voltage after this, s (common practice, no source). */
const discharges = 2;

async function voltageFalls(supply: Supply, volts: number, candidate: Candidate): Promise<void> {
  const until = performance.now() + discharges * 1000;
  for (;;) {
    const { volts: left, amps } = await read(supply, candidate);
    if (left <= volts / 2) return;
    expectThat(
      performance.now() < until,
      `the output was switched off and says so, but ${left} V and ${amps} A read back ${discharges} s later`,
    );
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}

function set(supply: Supply, volts: number, candidate: Candidate): Promise<void> {
  return resolves(
    supply.set({ volts }, plainCall(candidate)),
    candidate.deadline,
    `set ${volts} V`,
  );
}

function output(supply: Supply, on: boolean, candidate: Candidate): Promise<void> {
  const what = `output ${on ? 'on' : 'off'}`;
  return resolves(supply.output(on, plainCall(candidate)), candidate.deadline, what);
}

function read(supply: Supply, candidate: Candidate) {
  return resolves(supply.read(plainCall(candidate)), candidate.deadline, 'read()');
}
