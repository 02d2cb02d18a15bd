import type { Fault } from '../fault.ts';

export const shortFramesClear: Fault = {
  id: 'short-frames-clear',
  title: 'Slots that a frame does not send count as zero',
  about: 'A frame that ends within the slots of the lamp puts out what it did not send.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dmx-short-frames'],
  needs: { links: ['dmx'] },
  apply(model) {
    model.firmware = { ...model.firmware, clearsShortFrames: true };
  },
};
