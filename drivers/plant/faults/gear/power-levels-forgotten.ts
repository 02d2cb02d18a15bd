import type { Fault } from '../fault.ts';
import { forgetSettings } from '../forget-settings.ts';

export const powerLevelsForgotten: Fault = {
  id: 'power-levels-forgotten',
  title: 'Power-on and system failure level are lost with the power',
  about: 'After a power cycle both are those of a new lamp.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-settings-survive', 'dali-power-on-level'],
  needs: { links: ['dali'] },
  apply: (model) =>
    forgetSettings(model, ({ powerOnLevel, systemFailureLevel }) => ({
      powerOnLevel,
      systemFailureLevel,
    })),
};
