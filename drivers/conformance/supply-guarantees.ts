import type { Supply } from '../../harness/bench/ports.ts';
import { expectThat, type Guarantee, plainCall, type Subject, Unproven } from './guarantee.ts';
import { rejectsWith, resolves } from './settled.ts';

/** A supply reads back what was set within this, relative, and within a tenth of a volt. */
const readBack = 0.03;

export const supplyGuarantees: readonly Guarantee<'supply'>[] = [
  {
    guarantee:
      'The output reads back as on at the voltage that was set, and as off after it was switched off',
    kinds: ['supply'],
    check: async (supply, subject) => {
      const volts = subject.lamp.supply.nominal;
      try {
        await set(supply, volts, subject);
        await output(supply, true, subject);
        const lit = await read(supply, subject);
        expectThat(lit.on, 'the output was switched on, but reads back as off');
        expectThat(
          Math.abs(lit.volts - volts) <= readBack * volts + 0.1,
          `${volts} V were set, but ${lit.volts} V read back`,
        );
        expectThat(lit.amps >= 0, `the current should be at least 0 A, but reads ${lit.amps} A`);
      } finally {
        await output(supply, false, subject);
      }
      const { on } = await read(supply, subject);
      expectThat(!on, 'the output was switched off, but reads back as on');
    },
  },
  {
    guarantee: 'A voltage beyond the limit of the rig is refused',
    kinds: ['supply'],
    check: async (supply, subject) => {
      const { highestVolts } = subject;
      if (highestVolts === undefined) throw new Unproven('the rig states no limit');
      const beyond = supply.set({ volts: highestVolts * 1.1 + 1 }, plainCall(subject));
      await rejectsWith(beyond, ['refused'], subject.deadline, 'set() beyond the limit');
    },
  },
];

function set(supply: Supply, volts: number, subject: Subject): Promise<void> {
  return resolves(supply.set({ volts }, plainCall(subject)), subject.deadline, `set ${volts} V`);
}

function output(supply: Supply, on: boolean, subject: Subject): Promise<void> {
  const what = `output ${on ? 'on' : 'off'}`;
  return resolves(supply.output(on, plainCall(subject)), subject.deadline, what);
}

function read(supply: Supply, subject: Subject) {
  return resolves(supply.read(plainCall(subject)), subject.deadline, 'read()');
}
