import type { Fault } from '../fault.ts';

export const slotCounterWraps: Fault = {
  id: 'slot-counter-wraps',
  title: 'Slots behind the 256th overwrite the first ones',
  about: 'The slot counter has eight bits: the end of a full universe acts on the light.',
  family: 'links',
  size: { nominal: 256, unit: '1', about: 'slots that the counter can tell apart' },
  sizes: [512, 256],
  caughtBy: ['dmx-full-universe'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    model.firmware = { ...model.firmware, slotPlace: (index) => index % size };
  },
};
