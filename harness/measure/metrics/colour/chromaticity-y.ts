import { chromaticityMetric } from './chromaticity.ts';

/** Mean y of the window; see chromaticity-metric. */
export const chromaticityY = chromaticityMetric('y');
