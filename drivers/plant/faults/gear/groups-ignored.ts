import type { Fault } from '../fault.ts';

export const groupsIgnored: Fault = {
  id: 'groups-ignored',
  title: 'Groups are ignored',
  about: 'Frames for a group of the lamp do nothing.',
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
        isUs: (address, registers) => address.to !== 'group' && gear.isUs(address, registers),
      },
    };
  },
};
