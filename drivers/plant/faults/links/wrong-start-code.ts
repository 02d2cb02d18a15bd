import type { Fault } from '../fault.ts';

export const wrongStartCode: Fault = {
  id: 'wrong-start-code',
  title: 'Frames with a foreign start code act on the light',
  about: 'Text, test and management frames are taken as levels.',
  family: 'links',
  size: { nominal: 255, unit: '1', about: 'highest start code that is taken' },
  sizes: [32, 100, 255],
  caughtBy: ['other-start-codes'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    const { takesStartCode: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      takesStartCode: (code) => before(code) || code <= size,
    };
  },
};
