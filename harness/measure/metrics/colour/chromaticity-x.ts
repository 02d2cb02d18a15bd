import { chromaticityMetric } from '../../features/colour/chromaticity-metric.ts';

/** Mean x of the window; see chromaticity-metric. */
export const chromaticityX = chromaticityMetric('x');
