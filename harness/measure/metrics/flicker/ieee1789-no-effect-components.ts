import { ieee1789Components } from './ieee1789-components.ts';

/** IEEE 1789 no-observable-effect practice, per Fourier component (an extension of the clause). */
export const ieee1789NoEffectComponents = ieee1789Components(
  'no-effect',
  'ieee1789-no-effect-components',
  'Share of the IEEE 1789 no-observable-effect limit used by the worst component',
);
