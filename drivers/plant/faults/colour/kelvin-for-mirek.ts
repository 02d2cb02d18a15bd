import type { Fault } from '../fault.ts';

export const kelvinForMirek: Fault = {
  id: 'kelvin-for-mirek',
  title: 'Colour temperatures are interpolated in kelvin',
  about:
    'Between its two whites the firmware goes evenly in kelvin, where DALI means mirek: the ends are right, and in the middle white is too cool.',
  family: 'colour',
  size: { nominal: 1, unit: '1', about: 'share of the wrong scale in the mix' },
  sizes: [0.1, 0.3, 1],
  caughtBy: ['dali-colour-temperature'],
  needs: { links: ['dali'], 'tunable-white': true },
  apply(model, size, lamp) {
    const range = lamp.links.dali?.tunableWhite;
    if (!range) return;
    const [warmest, coolest] = [1e6 / range.warmest, 1e6 / range.coolest];
    const inKelvin = (mirek: number): number => {
      const part = (mirek - coolest) / (warmest - coolest);
      return 1e6 / (range.coolest + part * (range.warmest - range.coolest));
    };
    model.firmware = {
      ...model.firmware,
      mirek: (wanted) => wanted + size * (inKelvin(wanted) - wanted),
    };
  },
};
