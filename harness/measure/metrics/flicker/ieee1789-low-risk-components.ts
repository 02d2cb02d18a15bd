import { ieee1789Components } from './ieee1789-components.ts';

/** IEEE 1789 low-risk practice, per Fourier component (an extension of the clause). */
export const ieee1789LowRiskComponents = ieee1789Components(
  'low-risk',
  'ieee1789-low-risk-components',
  'Share of the IEEE 1789 low-risk limit used by the worst component',
);
