import type { Fault } from '../fault.ts';

export const luminaireDataSwapped: Fault = {
  id: 'luminaire-data-swapped',
  title: 'Luminaire data stand in memory with their bytes swapped',
  about:
    'Figures of two bytes are written least significant byte first into DALI memory bank 1, where the standard has the most significant one first.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'on' },
  sizes: [1],
  caughtBy: ['dali-luminaire-data'],
  needs: { links: ['dali'], banks: [1] },
  apply(model) {
    const words: readonly string[] = [
      'luminaire-input-power',
      'luminaire-minimum-power',
      'luminaire-cct',
    ];
    model.firmware = {
      ...model.firmware,
      bankValue: (property, value) =>
        words.includes(property) ? (value % 256) * 256 + Math.floor(value / 256) : value,
    };
  },
};
