import type { Fault } from '../fault.ts';

export const unaddressedObeyed: Fault = {
  id: 'unaddressed-obeyed',
  title: 'What is for gear without an address is obeyed',
  about: 'A broadcast to gear without a short address reaches a lamp that has one.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-addresses'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        isUs: (address, registers) => address.to === 'unaddressed' || gear.isUs(address, registers),
      },
    };
  },
};
