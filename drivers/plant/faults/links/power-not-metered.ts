import type { Fault } from '../fault.ts';

export const powerNotMetered: Fault = {
  id: 'power-not-metered',
  title: 'The lamp reports its rated power, whatever it takes',
  about:
    'The active power in DALI memory comes from a table and not from a meter: right at full light, wrong below.',
  family: 'links',
  size: { nominal: 1, unit: '1', about: 'share of the rated power in the report' },
  sizes: [0.1, 0.3, 1],
  caughtBy: ['dali-reported-energy', 'dali-reported-mains-energy'],
  needs: { links: ['dali'], banks: [1, 202] },
  apply(model, size, lamp) {
    const rated = lamp.links.dali?.luminaire?.inputPower ?? 0;
    model.firmware = {
      ...model.firmware,
      meteredPower: (watts) => watts + size * (rated - watts),
    };
  },
};
