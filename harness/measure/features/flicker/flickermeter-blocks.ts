import { bilinear, butterworth, highPass, lowPass, type Quadratic } from '../../signal/bilinear.ts';
import type { Section } from '../../signal/sections.ts';

const tau = 2 * Math.PI;

/** Slow changes are let off: first-order high pass, 0.05 Hz (IEC 61000-4-15 4.4, confirmed). */
const slowCorner = 0.05;
/** Sixth-order Butterworth low pass, Hz (from memory; Table 1 is reproduced with it). */
const fastCorner = { '230V': 35, '120V': 42 } as const;
/** Time constant of the memory of the eye, s: a first-order low pass (IEC 61000-4-15 block 4, from memory). */
const memory = 0.3;

/** Lamp, eye and brain: k ω1 s / (s² + 2λs + ω1²) · (1 + s/ω2) / ((1 + s/ω3)(1 + s/ω4)); corners in Hz. */
interface Weighting {
  readonly k: number;
  readonly lambda: number;
  readonly w1: number;
  readonly w2: number;
  readonly w3: number;
  readonly w4: number;
}

/** IEC 61000-4-15 weighting coefficients, confirmed in a mains-quality instrument manual that prints them. */
const weightings: Readonly<Record<'230V' | '120V', Weighting>> = {
  '230V': { k: 1.74802, lambda: 4.05981, w1: 9.15494, w2: 2.27979, w3: 1.22535, w4: 21.9 },
  '120V': { k: 1.6357, lambda: 4.167375, w1: 9.077169, w2: 2.939902, w3: 1.394468, w4: 17.31512 },
};

/** The weighting of the voltage flickermeter, incandescent lamp included. */
export function voltageWeighting(system: '230V' | '120V', rate: number): Section[] {
  const { k, lambda, w1, w2, w3, w4 } = weightings[system];
  const resonance: Quadratic = [(tau * w1) ** 2, 2 * tau * lambda, 1];
  return [
    bilinear([0, k * tau * w1, 0], resonance, rate, 8.8),
    bilinear([1, 1 / (tau * w2), 0], realPoles(w3, w4), rate, 8.8),
  ];
}

/**
 * The weighting of the light flickermeter, the lamp divided out (IEC TR 61547-1 eq. A.5, from memory; its denominator is
 * the product of the 230 V poles to all printed digits, which was computed). In factors:
 * 0.041661 s (s + z1)(s + z2)(s + z3) / ((s² + 2λs + ω1²)(s + ω3)(s + ω4)).
 */
export function lightWeighting(rate: number): Section[] {
  const { lambda, w1, w3, w4 } = weightings['230V'];
  const [z1, z2, z3] = lightZeros;
  const slow = tau * w3;
  const fast = tau * w4;
  return [
    bilinear([0, lightGain * z3, lightGain], [(tau * w1) ** 2, 2 * tau * lambda, 1], rate, 8.8),
    bilinear([z1 * z2, z1 + z2, 1], [slow * fast, slow + fast, 1], rate, 8.8),
  ];
}

/** Zeros of eq. A.5 in rad/s, from its printed coefficients (computed), and its leading coefficient. */
const lightZeros = [14.3251, 49.4771, 1010.5361] as const;
const lightGain = 0.041661;

function realPoles(a: number, b: number): Quadratic {
  return [1, 1 / (tau * a) + 1 / (tau * b), 1 / (tau * a * tau * b)];
}

/** High pass and low pass that both flickermeters share. */
export function flickerBand(system: '230V' | '120V', rate: number): Section[] {
  return [highPass(slowCorner, rate), ...butterworth(6, fastCorner[system], rate)];
}

/** The smoothing of the squared signal. */
export function flickerMemory(rate: number): Section[] {
  return [lowPass(1 / (tau * memory), rate)];
}
