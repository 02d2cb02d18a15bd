import { opcode } from '../../../dali/opcodes.ts';
import type { Fault } from '../fault.ts';

export const fadeOutToldDark: Fault = {
  id: 'fade-out-told-dark',
  title: 'A lamp that fades to dark says that it is dark',
  about: 'QUERY LAMP ON is answered by the end of the fade, not by the light.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-answers-in-fade', 'dali-fades-to-dark', 'dali-scenes-fade'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        told: (code, byte, at) =>
          code === opcode.queryLampOn && at.ordered === 0 ? null : gear.told(code, byte, at),
      },
    };
  },
};
