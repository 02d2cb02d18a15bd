import type { Fault } from '../fault.ts';

export const framesSkipped: Fault = {
  id: 'frames-skipped',
  title: 'Only some frames of slots are acted on',
  about: 'The main loop is too slow for the stream: a fade of a console becomes a staircase.',
  family: 'links',
  size: { nominal: 8, unit: '1', about: 'frames of which one is acted on' },
  sizes: [1, 2, 4, 8, 16],
  caughtBy: ['slots-fade'],
  needs: { links: ['dmx'], 'slot-bits': 16 },
  apply(model, size) {
    model.firmware = { ...model.firmware, heedsFrame: (index) => index % size === 0 };
  },
};
