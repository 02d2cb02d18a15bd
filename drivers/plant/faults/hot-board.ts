import type { Fault } from './fault.ts';
import { heatFast } from './heat-fast.ts';

export const hotBoard: Fault = {
  id: 'hot-board',
  title: 'Heat sink came loose',
  about: 'The LED board heats within seconds: the light sags after every rise.',
  family: 'thermal',
  size: { nominal: 0.3, unit: '1', about: 'relative loss of light when hot' },
  sizes: [0.03, 0.1, 0.2, 0.3, 0.5],
  caughtBy: ['steady-at-full'],
  apply(model, size, lamp) {
    const kelvin = heatFast(model, lamp);
    for (const emitter of model.emitter) emitter.lightPerKelvin = -size / kelvin;
  },
};
