import { chromaticityMetric } from './chromaticity.ts';

/** Mean x of the window; see chromaticity-metric. */
export const chromaticityX = chromaticityMetric('x');
