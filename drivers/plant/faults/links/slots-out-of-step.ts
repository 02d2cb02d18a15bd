import type { Fault } from '../fault.ts';

export const slotsOutOfStep: Fault = {
  id: 'slots-out-of-step',
  title: 'The last channel takes its slots some frames late',
  about: 'Its value passes through a buffer: in a crossfade of a console the colour goes astray.',
  family: 'links',
  size: { nominal: 4, unit: '1', about: 'frames that it is behind' },
  sizes: [0, 1, 2, 4, 8],
  caughtBy: ['slots-crossfade'],
  needs: { links: ['dmx'], 'slot-bits': 16, channels: 3 },
  apply(model, size, lamp) {
    const last = lamp.channels.length - 1;
    model.firmware = { ...model.firmware, slotLag: (channel) => (channel === last ? size : 0) };
  },
};
