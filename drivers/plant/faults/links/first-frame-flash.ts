import type { Fault } from '../fault.ts';

export const firstFrameFlash: Fault = {
  id: 'first-frame-flash',
  title: 'The lamp flashes with the first frame',
  about: 'The first frame after power-on shows full light before its own levels.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'dim level of the flash, which lasts 50 ms' },
  sizes: [0.05, 0.2, 1],
  caughtBy: ['switch-on-by-slots'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    model.firmware = { ...model.firmware, firstFrameLevel: size, firstFrameLasts: 0.05 };
  },
};
