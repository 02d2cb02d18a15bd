import { mask } from '../../../dali/frame.ts';
import type { Fault } from '../fault.ts';
import { forgetSettings } from '../forget-settings.ts';

export const addressForgotten: Fault = {
  id: 'address-forgotten',
  title: 'The short address is lost with the power',
  about: 'After a power cycle the lamp is nobody on its bus.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-settings-survive', 'dali-power-on-level'],
  needs: { links: ['dali'] },
  apply: (model) => forgetSettings(model, () => ({ shortAddress: mask })),
};
