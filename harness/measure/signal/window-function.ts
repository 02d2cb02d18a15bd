/**
 * Windows for spectra. Periodic form (the sample that would repeat the first is left out), as a transform wants.
 *
 * Source: Harris, On the use of windows for harmonic analysis with the DFT, Proc. IEEE 66(1), 1978 (coefficients of
 * the 4-term Blackman-Harris window from memory; side lobes below -92 dB computed in the tests).
 */
export type WindowName = 'rectangular' | 'hann' | 'blackman-harris';

const terms: Readonly<Record<WindowName, readonly [number, number, number, number]>> = {
  rectangular: [1, 0, 0, 0],
  hann: [0.5, -0.5, 0, 0],
  'blackman-harris': [0.35875, -0.48829, 0.14128, -0.01168],
};

/** Half the width of the window's main lobe, in bins: a lone tone is 0 beyond it but for side lobes. */
export const mainLobe: Readonly<Record<WindowName, number>> = {
  rectangular: 1,
  hann: 2,
  'blackman-harris': 4,
};

export interface WindowFunction {
  readonly weights: Float64Array;
  /** Mean weight: a tone's bin is scaled by it (coherent gain). */
  readonly coherentGain: number;
  /** Mean square weight: a tone's summed power and white noise are scaled by it. */
  readonly power: number;
}

/** The window `name` over `length` samples. */
export function windowFunction(name: WindowName, length: number): WindowFunction {
  const weights = new Float64Array(length);
  const [a0, a1, a2, a3] = terms[name];
  let sum = 0;
  let square = 0;
  for (let k = 0; k < length; k++) {
    // Cosines of the multiples of the angle as polynomials of its cosine.
    const c = Math.cos((2 * Math.PI * k) / length);
    const c2 = 2 * c * c - 1;
    const weight = a0 + a1 * c + a2 * c2 + a3 * (2 * c * c2 - c);
    weights[k] = weight;
    sum += weight;
    square += weight * weight;
  }
  return { weights, coherentGain: sum / length, power: square / length };
}

/**
 * Amplitude of a lone tone in a bin that lies `bins` beside it, relative to a bin on the tone: the transform of the periodic
 * window, each of its cosines a sin(πx)/πx a bin to either side. Source: Harris 1978, as above; for long windows.
 */
export function lobeAt(name: WindowName, bins: number): number {
  const [a0, ...cosines] = terms[name];
  let sum = a0 * sinc(bins);
  for (const [k, a] of cosines.entries()) {
    const order = k + 1;
    // A cosine of odd order turns the sign of its neighbours, whose sin(πx)/πx are of the other sign already.
    const sign = order % 2 === 0 ? 1 : -1;
    sum += sign * (a / 2) * (sinc(bins - order) + sinc(bins + order));
  }
  return sum / a0;
}

function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x);
}
