import { ieee1789Fundamental } from './ieee1789-fundamental.ts';

/** IEEE 1789 no-observable-effect practice, fundamental with whole-waveform modulation. */
export const ieee1789NoEffect = ieee1789Fundamental(
  'no-effect',
  'ieee1789-no-effect',
  'Share of the IEEE 1789 no-observable-effect limit used',
);
