import type { Fault } from '../fault.ts';

export const extendedFadeOffByOne: Fault = {
  id: 'extended-fade-off-by-one',
  title: 'An extended fade time is one unit short',
  about: 'The base of the extended fade time counts from 0 and not from 1.',
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
        fadeSeconds: (registers, seconds) => {
          const base = registers.extendedFadeTime & 0x0f;
          const right = gear.fadeSeconds(registers, seconds);
          return registers.fadeTime > 0 ? right : (right * base) / (base + 1);
        },
      },
    };
  },
};
