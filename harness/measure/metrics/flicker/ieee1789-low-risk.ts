import { ieee1789Fundamental } from './ieee1789-fundamental.ts';

/** IEEE 1789 low-risk practice, fundamental with whole-waveform modulation. */
export const ieee1789LowRisk = ieee1789Fundamental(
  'low-risk',
  'ieee1789-low-risk',
  'Share of the IEEE 1789 low-risk limit used',
);
