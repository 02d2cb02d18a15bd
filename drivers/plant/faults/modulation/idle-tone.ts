import type { Fault } from '../fault.ts';

export const idleTone: Fault = {
  id: 'idle-tone',
  title: 'Bit clock too slow',
  about:
    'A prescaler was left in the bit clock of the pulse-density modulator: at the bottom its idle tone becomes a train of flashes.',
  family: 'modulation',
  size: { nominal: 1000, unit: '1', about: 'division of the bit clock' },
  sizes: [30, 100, 300, 1000],
  caughtBy: ['low-risk', 'camera-at-bottom'],
  needs: { modulation: 'pulse-density' },
  apply(model, size) {
    model.modulator.setup = (asked) =>
      asked.kind === 'pulse-density' ? { ...asked, clock: asked.clock / size } : asked;
  },
};
