import type { Fault } from '../fault.ts';

export const slowComparator: Fault = {
  id: 'slow-comparator',
  title: 'Slow peak-current comparator',
  about: 'The current overruns its threshold, and more so at a higher supply voltage.',
  family: 'current',
  size: { nominal: 6e-7, unit: 's', about: 'added delay' },
  sizes: [5e-8, 1.5e-7, 3e-7, 4.5e-7, 6e-7],
  caughtBy: ['mean-current'],
  needs: { stage: 'fixed-off-time' },
  apply(model, size) {
    model.stage.comparatorDelay += size;
  },
};
