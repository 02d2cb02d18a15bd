import { chromaticityMetric } from '../../features/colour/chromaticity-metric.ts';

/** Mean y of the window; see chromaticity-metric. */
export const chromaticityY = chromaticityMetric('y');
