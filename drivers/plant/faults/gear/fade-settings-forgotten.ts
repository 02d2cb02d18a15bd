import type { Fault } from '../fault.ts';
import { forgetSettings } from '../forget-settings.ts';

export const fadeSettingsForgotten: Fault = {
  id: 'fade-settings-forgotten',
  title: 'Fade time and rate are lost with the power',
  about: 'After a power cycle levels come at once.',
  family: 'gear',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-settings-survive'],
  needs: { links: ['dali'] },
  apply: (model) =>
    forgetSettings(model, ({ fadeTime, fadeRate, extendedFadeTime }) => ({
      fadeTime,
      fadeRate,
      extendedFadeTime,
    })),
};
