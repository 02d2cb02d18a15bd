import type { Fault } from '../fault.ts';

export const maskLetsFadesRun: Fault = {
  id: 'mask-lets-fades-run',
  title: 'MASK does not stop a fade',
  about: 'The level 255 is dropped, and a running fade goes on.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-mask'],
  needs: { links: ['dali'] },
  apply(model) {
    const { gear } = model.firmware;
    model.firmware = {
      ...model.firmware,
      gear: {
        ...gear,
        maskLevel: 'nothing',
      },
    };
  },
};
