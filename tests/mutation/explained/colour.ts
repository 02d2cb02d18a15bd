import type { Explained } from './explanation.ts';

const colourFeatures = 'harness/measure/features/colour';
const colour = 'harness/measure/metrics/colour';

export const colourExplained: readonly Explained[] = [
  {
    file: `${colourFeatures}/mean-cct.ts`,
    original: 'x + step',
    replacement: 'x - step',
    why: 'A difference to the other side gives the same slope.',
  },
  {
    file: `${colourFeatures}/mean-cct.ts`,
    original: 'y + step',
    replacement: 'y - step',
    why: 'A difference to the other side gives the same slope.',
  },
  {
    file: `${colour}/path-deviation.ts`,
    original: 'Math.min(1000, wanted)',
    replacement: 'Math.max(1000, wanted)',
    why: 'More points of the same path; only the time that they take differs.',
  },
  {
    file: `${colour}/path-deviation.ts`,
    original: 'distance > worst',
    replacement: 'distance >= worst',
    why: 'Of two equally far readings either may be named.',
  },
  {
    file: `${colour}/tracking.ts`,
    original: 'two.level > one.level',
    replacement: 'two.level >= one.level',
    why: 'Of two equally bright levels either may be the first.',
  },
  {
    file: `${colour}/tracking.ts`,
    original: 'off(two) > off(one)',
    replacement: 'off(two) >= off(one)',
    why: 'Of two equally far levels either may be named.',
  },
  {
    file: `${colour}/channel-ratio-drift.ts`,
    original: 'Math.abs(two.ratio / common - 1) > Math.abs(one.ratio / common - 1)',
    replacement: 'Math.abs(two.ratio / common - 1) >= Math.abs(one.ratio / common - 1)',
    why: 'Of two equally far channels either may be named.',
  },
  {
    file: `${colour}/chromaticity-excursion.ts`,
    original: 'deltaUv(two.uv, mean) > deltaUv(one.uv, mean)',
    replacement: 'deltaUv(two.uv, mean) >= deltaUv(one.uv, mean)',
    why: 'Of two equally far instants either may be named.',
  },
];
