import type { Fault } from '../fault.ts';

export const minimumLevelTruncated: Fault = {
  id: 'minimum-level-truncated',
  title: 'A minimum level loses its lower byte',
  about: 'RDM has minimum levels of 16 bits; the lamp keeps the upper eight, and 0.1 % becomes 0.',
  family: 'links',
  size: { nominal: 256, unit: '1', about: 'step that is kept, of 65536' },
  sizes: [16, 256],
  caughtBy: ['rdm-keeps-settings'],
  needs: { links: ['dmx'], rdm: true },
  apply(model, size) {
    model.firmware = {
      ...model.firmware,
      storedMinimum: (level) => Math.floor(level / size) * size,
    };
  },
};
