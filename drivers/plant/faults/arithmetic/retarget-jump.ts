import type { Fault } from '../fault.ts';

export const retargetJump: Fault = {
  id: 'retarget-jump',
  title: 'A new command during a fade starts from the wrong place',
  about: 'The light jumps towards the end of the old fade before the new one begins.',
  family: 'arithmetic',
  size: { nominal: 1, unit: '1', about: 'part of the way to the old end that it jumps' },
  sizes: [0.02, 0.1, 0.3, 1],
  caughtBy: ['retarget-without-jump'],
  apply(model, size) {
    const { retarget: before } = model.firmware;
    model.firmware = {
      ...model.firmware,
      retarget: (present, former) => before(present, former) + size * (former - present),
    };
  },
};
