import type { Fault } from '../fault.ts';

export const broadcastIgnored: Fault = {
  id: 'broadcast-ignored',
  title: 'Broadcasts are ignored',
  about: 'Frames for all gear do nothing.',
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
        isUs: (address, registers) => address.to !== 'broadcast' && gear.isUs(address, registers),
      },
    };
  },
};
