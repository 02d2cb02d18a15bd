import type { Fault } from '../fault.ts';

export const highGroupsLost: Fault = {
  id: 'high-groups-lost',
  title: 'Groups from 8 on are lost',
  about: 'Sixteen groups are kept in eight bits.',
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
        isUs: (address, { groups, ...rest }) =>
          gear.isUs(address, { ...rest, groups: groups & 0xff }),
      },
    };
  },
};
