import type { Supply } from '../../harness/bench/ports.ts';
import { type Candidate, expectThat, type Guarantee, plainCall, Unproven } from './guarantee.ts';
import { rejectsWith, resolves } from './settled.ts';

/** A supply reads back what was set within this, relative, and within a tenth of a volt. */
const readBack = 0.03;

export const supplyGuarantees: readonly Guarantee<'supply'>[] = [
  {
    guarantee:
      'The output reads back as on at the voltage that was set, and as off after it was switched off',
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
