import type { Fault } from '../fault.ts';

export const converterBeat: Fault = {
  id: 'converter-beat',
  title: 'Converters beat on the rail',
  about:
    'Two converters on one rail run 8.8 Hz apart: the difference, where the eye is most sensitive, reaches the LED current.',
  family: 'supply',
  size: { nominal: 0.03, unit: '1', about: 'relative swing of the current' },
  sizes: [0.001, 0.003, 0.01, 0.03],
  caughtBy: ['no-beat', 'eye-in-fade'],
  needs: { supply: 'dc' },
  apply(model, size) {
    model.supply.mainsFrequency = 4.4;
    model.supply.ripple = size;
    model.supply.rippleFeedthrough = 1;
  },
};
