import type { Fault } from '../fault.ts';

export const footprintMisstated: Fault = {
  id: 'footprint-misstated',
  title: 'RDM states a footprint that the lamp does not have',
  about:
    'DEVICE_INFO still has the number of slots of an earlier product, so that consoles patch the next lamp into this one.',
  family: 'links',
  size: { nominal: 2, unit: '1', about: 'by how many slots it is wrong' },
  sizes: [1, 2, 8],
  caughtBy: ['rdm-tells-itself'],
  needs: { links: ['dmx'], rdm: true },
  apply(model, size) {
    model.firmware = { ...model.firmware, toldFootprint: (slots) => slots + size };
  },
};
