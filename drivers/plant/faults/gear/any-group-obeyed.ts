import type { Fault } from '../fault.ts';

export const anyGroupObeyed: Fault = {
  id: 'any-group-obeyed',
  title: 'Every group is obeyed',
  about: 'Frames for groups of others move the light.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-groups'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        isUs: (address, registers) => address.to === 'group' || gear.isUs(address, registers),
      },
    };
  },
};
