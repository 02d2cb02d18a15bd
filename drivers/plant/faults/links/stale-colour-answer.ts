import type { Fault } from '../fault.ts';

export const staleColourAnswer: Fault = {
  id: 'stale-colour-answer',
  title: 'The lamp tells a colour temperature that it does not have',
  about: 'QUERY COLOUR VALUE answers with a temperature beside the one that is lit.',
  family: 'links',
  size: { nominal: 5, unit: '1', about: 'by how many mirek it is wrong' },
  sizes: [1, 5, 20],
  caughtBy: ['dali-colour-answers'],
  needs: { links: ['dali'], 'tunable-white': true },
  apply(model, size) {
    model.firmware = { ...model.firmware, toldMirek: (actual) => Math.round(actual + size) };
  },
};
