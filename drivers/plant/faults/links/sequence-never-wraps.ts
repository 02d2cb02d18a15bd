import type { Fault } from '../fault.ts';

export const sequenceNeverWraps: Fault = {
  id: 'sequence-never-wraps',
  title: 'Sequence numbers are compared without their wrap',
  about: 'After packet 255 the lamp waits for 256, which never comes.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['sacn-sequence-wraps'],
  needs: { links: ['sacn'] },
  apply(model) {
    model.links = { ...model.links, isLate: (sequence, last) => sequence <= last };
  },
};
