import { complexFft } from './complex-fft.ts';
import { valueAt } from './samples.ts';

/**
 * Discrete Fourier transform of a real sequence of any length: bins 0 … floor(N/2), forward sign exp(-2πi kn/N),
 * not scaled. An even length runs as one complex transform of half the length.
 *
 * Source: Van Loan, Computational Frameworks for the FFT (1992), 4.3.
 */
export interface RealFft {
  readonly length: number;
  /** Number of bins, floor(length/2) + 1. */
  readonly bins: number;
  /** Transforms `samples` (kept); the result is valid until the next call. */
  forward(samples: Float64Array): { readonly re: Float64Array; readonly im: Float64Array };
}

export function realFft(length: number): RealFft {
  return length % 2 === 0 ? evenFft(length) : oddFft(length);
}

function oddFft(length: number): RealFft {
  const inner = complexFft(length);
  const re = new Float64Array(length);
  const im = new Float64Array(length);
  const bins = (length + 1) / 2;
  return {
    length,
    bins,
    forward(samples) {
      re.set(samples);
      im.fill(0);
      inner.forward(re, im);
      return { re: re.subarray(0, bins), im: im.subarray(0, bins) };
    },
  };
}

function evenFft(length: number): RealFft {
  const half = length / 2;
  const inner = complexFft(half);
  const re = new Float64Array(half + 1);
  const im = new Float64Array(half + 1);
  const innerRe = re.subarray(0, half);
  const innerIm = im.subarray(0, half);
  const cos = new Float64Array(half / 2 + 1);
  const sin = new Float64Array(half / 2 + 1);
  for (let k = 0; k < cos.length; k++) {
    cos[k] = Math.cos((-2 * Math.PI * k) / length);
    sin[k] = Math.sin((-2 * Math.PI * k) / length);
  }
  return {
    length,
    bins: half + 1,
    forward(samples) {
      for (let k = 0; k < half; k++) {
        innerRe[k] = valueAt(samples, 2 * k);
        innerIm[k] = valueAt(samples, 2 * k + 1);
      }
      inner.forward(innerRe, innerIm);
      separate(re, im, half, cos, sin);
      return { re, im };
    },
  };
}

/** From the transform of (even + i·odd samples) to the bins of the real sequence, two bins at a time. */
function separate(
  re: Float64Array,
  im: Float64Array,
  half: number,
  cos: Float64Array,
  sin: Float64Array,
): void {
  const zero = valueAt(re, 0);
  const other = valueAt(im, 0);
  re[0] = zero + other;
  im[0] = 0;
  re[half] = zero - other;
  im[half] = 0;
  for (let k = 1; k <= half / 2; k++) {
    const mirror = half - k;
    const evenRe = 0.5 * (valueAt(re, k) + valueAt(re, mirror));
    const evenIm = 0.5 * (valueAt(im, k) - valueAt(im, mirror));
    const oddRe = 0.5 * (valueAt(im, k) + valueAt(im, mirror));
    const oddIm = 0.5 * (valueAt(re, mirror) - valueAt(re, k));
    const turnedRe = oddRe * valueAt(cos, k) - oddIm * valueAt(sin, k);
    const turnedIm = oddRe * valueAt(sin, k) + oddIm * valueAt(cos, k);
    re[k] = evenRe + turnedRe;
    im[k] = evenIm + turnedIm;
    re[mirror] = evenRe - turnedRe;
    im[mirror] = turnedIm - evenIm;
  }
}
