import type { Fault } from '../fault.ts';
import { forgetSettings } from '../forget-settings.ts';

export const scenesForgotten: Fault = {
  id: 'scenes-forgotten',
  title: 'Scenes are lost with the power',
  about: 'After a power cycle no scene is stored.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-settings-survive'],
  needs: { links: ['dali'] },
  apply: (model) => forgetSettings(model, ({ scenes }) => ({ scenes })),
};
