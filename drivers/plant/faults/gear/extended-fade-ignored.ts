import type { Fault } from '../fault.ts';

export const extendedFadeIgnored: Fault = {
  id: 'extended-fade-ignored',
  title: 'Extended fade times are ignored',
  about: 'Without a fade time a level is there at once.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-extended-fade-times'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        fadeSeconds: (registers, seconds) =>
          registers.fadeTime > 0 ? gear.fadeSeconds(registers, seconds) : 0,
      },
    };
  },
};
