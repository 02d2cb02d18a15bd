import type { Fault } from '../fault.ts';

export const busReturnLights: Fault = {
  id: 'bus-return-lights',
  title: 'The light moves when the bus returns',
  about: 'A lamp at its system failure level goes to another one when the bus has power again.',
  family: 'gear',
  size: { nominal: 254, unit: '1', about: 'level that it goes to' },
  sizes: [101, 254],
  caughtBy: ['dali-system-failure-level'],
  needs: { links: ['dali'] },
  apply(model, size) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        levelAtReturn: size,
      },
    };
  },
};
