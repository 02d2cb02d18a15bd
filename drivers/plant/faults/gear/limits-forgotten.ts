import type { Fault } from '../fault.ts';
import { forgetSettings } from '../forget-settings.ts';

export const limitsForgotten: Fault = {
  id: 'limits-forgotten',
  title: 'MAX and MIN are lost with the power',
  about: 'After a power cycle the limits are those of a new lamp.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-settings-survive'],
  needs: { links: ['dali'] },
  apply: (model) => forgetSettings(model, ({ max, min }) => ({ max, min })),
};
