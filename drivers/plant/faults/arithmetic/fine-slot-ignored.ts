import type { Fault } from '../fault.ts';

export const fineSlotIgnored: Fault = {
  id: 'fine-slot-ignored',
  title: 'The fine slot of a pair is dropped',
  about: 'A 16-bit parameter is read with fewer bits: low intensities are wrong and fades step.',
  family: 'arithmetic',
  size: { nominal: 5, unit: '1', about: 'bits that are left' },
  sizes: [10, 8, 6, 5, 4],
  caughtBy: ['slot-levels'],
  needs: { links: ['dmx'] },
  apply(model, size) {
    const { slotValue: before } = model.firmware;
    const steps = 2 ** size;
    model.firmware = {
      ...model.firmware,
      slotValue: (value, highest) =>
        Math.floor(before(value, highest) * (steps - 1) + 1e-9) / (steps - 1),
    };
  },
};
