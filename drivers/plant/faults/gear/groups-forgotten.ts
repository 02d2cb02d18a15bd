import type { Fault } from '../fault.ts';
import { forgetSettings } from '../forget-settings.ts';

export const groupsForgotten: Fault = {
  id: 'groups-forgotten',
  title: 'Groups are lost with the power',
  about: 'After a power cycle the lamp is in the groups of a new one.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-settings-survive'],
  needs: { links: ['dali'] },
  apply: (model) => forgetSettings(model, ({ groups }) => ({ groups })),
};
