import type { Fault } from '../fault.ts';

export const foreignAddressObeyed: Fault = {
  id: 'foreign-address-obeyed',
  title: 'Frames for other short addresses are obeyed',
  about: 'The highest bits of the address are not compared.',
  family: 'gear',
  size: { nominal: 4, unit: '1', about: 'addresses that are told apart' },
  sizes: [32, 4, 1],
  caughtBy: ['dali-addresses'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        isUs: (address, registers) =>
          address.to === 'short'
            ? address.address % size === registers.shortAddress % size
            : gear.isUs(address, registers),
      },
    };
  },
};
