import { chromaticityMetric } from './chromaticity-metric.ts';

/** Mean y of the window; see chromaticity-metric. */
export const chromaticityY = chromaticityMetric('y');
