import { valueAt } from './samples.ts';

/**
 * Discrete Fourier transform of a complex sequence of any length, float64.
 *
 * Lengths without prime factors above 5 run as a mixed-radix Stockham transform (autosorting, no bit reversal);
 * every other length as Bluestein's chirp transform on the next suitable length. Forward sign exp(-2πi kn/N), not
 * scaled. Relative error about 1e-16·log2(N) (Stockham) and a few times that (Bluestein).
 *
 * Source: Van Loan, Computational Frameworks for the FFT (1992), 1.7 and 4.2.
 */
export interface ComplexFft {
  readonly length: number;
  /** Transforms in place. */
  forward(re: Float64Array, im: Float64Array): void;
}

/** A plan (twiddle factors and scratch memory) for one length; reuse it for every transform of that length. */
export function complexFft(length: number): ComplexFft {
  if (!Number.isInteger(length) || length < 1) {
    throw new RangeError(`A transform needs a whole length of at least 1, not ${length}.`);
  }
  return factors(length) ? stockham(length) : bluestein(length);
}

/** The largest length up to `limit` whose only prime factors are 2, 3 and 5, and which is a multiple of `multiple`. */
export function smoothLength(limit: number, multiple = 1): number {
  let length = Math.floor(limit / multiple) * multiple;
  while (length > multiple && !isSmooth(length)) length -= multiple;
  return Math.max(length, 0);
}

/** Whether a length has no prime factors but 2, 3 and 5. */
function isSmooth(length: number): boolean {
  for (const prime of [2, 3, 5]) while (length % prime === 0) length /= prime;
  return length === 1;
}

type Radix = 2 | 3 | 4 | 5;

/** 4 first: one pass of it is cheaper than two of 2. */
const radices: readonly Radix[] = [4, 2, 3, 5];

function factors(length: number): Radix[] | null {
  const list: Radix[] = [];
  for (const radix of radices) {
    while (length % radix === 0) {
      list.push(radix);
      length /= radix;
    }
  }
  return length === 1 ? list : null;
}

function stockham(length: number): ComplexFft {
  const steps = factors(length) ?? [];
  const roots = unitRoots(length);
  const spareRe = new Float64Array(length);
  const spareIm = new Float64Array(length);
  return {
    length,
    forward(re, im) {
      let from: Pair = { re, im };
      let to: Pair = { re: spareRe, im: spareIm };
      let stride = 1;
      for (const radix of steps) {
        passes[radix](from, to, length, stride, roots);
        stride *= radix;
        [from, to] = [to, from];
      }
      if (from.re !== re) {
        re.set(from.re);
        im.set(from.im);
      }
    },
  };
}

interface Pair {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

type Pass = (from: Pair, to: Pair, length: number, stride: number, roots: Pair) => void;

function unitRoots(length: number): Pair {
  const re = new Float64Array(length);
  const im = new Float64Array(length);
  const step = (-2 * Math.PI) / length;
  for (let k = 0; k < length; k++) {
    re[k] = Math.cos(step * k);
    im[k] = Math.sin(step * k);
  }
  return { re, im };
}

// One pass: y[q + s(rp + t)] = w^(tps) Σ_u x[q + s(p + u·m)] ω_r^(tu), with m = length/(r·s). The arithmetic is
// written out for each radix, for these loops are where a long record spends its time.

const pass2: Pass = (from, to, length, stride, { re: cos, im: sin }) => {
  const { re: ar, im: ai } = from;
  const { re: br, im: bi } = to;
  const half = length >> 1;
  for (let w = 0; w < half; w += stride) {
    const c = valueAt(cos, w);
    const s = valueAt(sin, w);
    const o = 2 * w;
    for (let q = 0; q < stride; q++) {
      const i = w + q;
      const xr = valueAt(ar, i);
      const xi = valueAt(ai, i);
      const yr = valueAt(ar, i + half);
      const yi = valueAt(ai, i + half);
      const dr = xr - yr;
      const di = xi - yi;
      br[o + q] = xr + yr;
      bi[o + q] = xi + yi;
      br[o + stride + q] = dr * c - di * s;
      bi[o + stride + q] = dr * s + di * c;
    }
  }
};

const pass3: Pass = (from, to, length, stride, { re: cos, im: sin }) => {
  const { re: ar, im: ai } = from;
  const { re: br, im: bi } = to;
  const third = length / 3;
  const root = Math.sqrt(3) / 2;
  for (let w = 0; w < third; w += stride) {
    const c1 = valueAt(cos, w);
    const s1 = valueAt(sin, w);
    const c2 = valueAt(cos, 2 * w);
    const s2 = valueAt(sin, 2 * w);
    const o = 3 * w;
    for (let q = 0; q < stride; q++) {
      const i = w + q;
      const xr = valueAt(ar, i);
      const xi = valueAt(ai, i);
      const sr = valueAt(ar, i + third) + valueAt(ar, i + 2 * third);
      const si = valueAt(ai, i + third) + valueAt(ai, i + 2 * third);
      const dr = root * (valueAt(ar, i + third) - valueAt(ar, i + 2 * third));
      const di = root * (valueAt(ai, i + third) - valueAt(ai, i + 2 * third));
      const mr = xr - 0.5 * sr;
      const mi = xi - 0.5 * si;
      br[o + q] = xr + sr;
      bi[o + q] = xi + si;
      const ur = mr + di;
      const ui = mi - dr;
      br[o + stride + q] = ur * c1 - ui * s1;
      bi[o + stride + q] = ur * s1 + ui * c1;
      const vr = mr - di;
      const vi = mi + dr;
      br[o + 2 * stride + q] = vr * c2 - vi * s2;
      bi[o + 2 * stride + q] = vr * s2 + vi * c2;
    }
  }
};

const pass4: Pass = (from, to, length, stride, { re: cos, im: sin }) => {
  const { re: ar, im: ai } = from;
  const { re: br, im: bi } = to;
  const m = length >> 2;
  for (let w = 0; w < m; w += stride) {
    const c1 = valueAt(cos, w);
    const s1 = valueAt(sin, w);
    const c2 = valueAt(cos, 2 * w);
    const s2 = valueAt(sin, 2 * w);
    const c3 = valueAt(cos, 3 * w);
    const s3 = valueAt(sin, 3 * w);
    const o = 4 * w;
    for (let q = 0; q < stride; q++) {
      const i = w + q;
      const acr = valueAt(ar, i) + valueAt(ar, i + 2 * m);
      const aci = valueAt(ai, i) + valueAt(ai, i + 2 * m);
      const adr = valueAt(ar, i) - valueAt(ar, i + 2 * m);
      const adi = valueAt(ai, i) - valueAt(ai, i + 2 * m);
      const bcr = valueAt(ar, i + m) + valueAt(ar, i + 3 * m);
      const bci = valueAt(ai, i + m) + valueAt(ai, i + 3 * m);
      const bdr = valueAt(ar, i + m) - valueAt(ar, i + 3 * m);
      const bdi = valueAt(ai, i + m) - valueAt(ai, i + 3 * m);
      const j = o + q;
      br[j] = acr + bcr;
      bi[j] = aci + bci;
      const ur = adr + bdi;
      const ui = adi - bdr;
      br[j + stride] = ur * c1 - ui * s1;
      bi[j + stride] = ur * s1 + ui * c1;
      const vr = acr - bcr;
      const vi = aci - bci;
      br[j + 2 * stride] = vr * c2 - vi * s2;
      bi[j + 2 * stride] = vr * s2 + vi * c2;
      const zr = adr - bdi;
      const zi = adi + bdr;
      br[j + 3 * stride] = zr * c3 - zi * s3;
      bi[j + 3 * stride] = zr * s3 + zi * c3;
    }
  }
};

const cos72 = Math.cos((2 * Math.PI) / 5);
const cos144 = Math.cos((4 * Math.PI) / 5);
const sin72 = Math.sin((2 * Math.PI) / 5);
const sin144 = Math.sin((4 * Math.PI) / 5);

const pass5: Pass = (from, to, length, stride, { re: cos, im: sin }) => {
  const { re: ar, im: ai } = from;
  const { re: br, im: bi } = to;
  const m = length / 5;
  for (let w = 0; w < m; w += stride) {
    const c1 = valueAt(cos, w);
    const s1 = valueAt(sin, w);
    const c2 = valueAt(cos, 2 * w);
    const s2 = valueAt(sin, 2 * w);
    const c3 = valueAt(cos, 3 * w);
    const s3 = valueAt(sin, 3 * w);
    const c4 = valueAt(cos, 4 * w);
    const s4 = valueAt(sin, 4 * w);
    const o = 5 * w;
    for (let q = 0; q < stride; q++) {
      const i = w + q;
      const xr = valueAt(ar, i);
      const xi = valueAt(ai, i);
      const s14r = valueAt(ar, i + m) + valueAt(ar, i + 4 * m);
      const s14i = valueAt(ai, i + m) + valueAt(ai, i + 4 * m);
      const d14r = valueAt(ar, i + m) - valueAt(ar, i + 4 * m);
      const d14i = valueAt(ai, i + m) - valueAt(ai, i + 4 * m);
      const s23r = valueAt(ar, i + 2 * m) + valueAt(ar, i + 3 * m);
      const s23i = valueAt(ai, i + 2 * m) + valueAt(ai, i + 3 * m);
      const d23r = valueAt(ar, i + 2 * m) - valueAt(ar, i + 3 * m);
      const d23i = valueAt(ai, i + 2 * m) - valueAt(ai, i + 3 * m);
      const e1r = xr + cos72 * s14r + cos144 * s23r;
      const e1i = xi + cos72 * s14i + cos144 * s23i;
      const e2r = xr + cos144 * s14r + cos72 * s23r;
      const e2i = xi + cos144 * s14i + cos72 * s23i;
      const f1r = sin72 * d14r + sin144 * d23r;
      const f1i = sin72 * d14i + sin144 * d23i;
      const f2r = sin144 * d14r - sin72 * d23r;
      const f2i = sin144 * d14i - sin72 * d23i;
      const j = o + q;
      br[j] = xr + s14r + s23r;
      bi[j] = xi + s14i + s23i;
      br[j + stride] = (e1r + f1i) * c1 - (e1i - f1r) * s1;
      bi[j + stride] = (e1r + f1i) * s1 + (e1i - f1r) * c1;
      br[j + 2 * stride] = (e2r + f2i) * c2 - (e2i - f2r) * s2;
      bi[j + 2 * stride] = (e2r + f2i) * s2 + (e2i - f2r) * c2;
      br[j + 3 * stride] = (e2r - f2i) * c3 - (e2i + f2r) * s3;
      bi[j + 3 * stride] = (e2r - f2i) * s3 + (e2i + f2r) * c3;
      br[j + 4 * stride] = (e1r - f1i) * c4 - (e1i + f1r) * s4;
      bi[j + 4 * stride] = (e1r - f1i) * s4 + (e1i + f1r) * c4;
    }
  }
};

const passes: Readonly<Record<Radix, Pass>> = { 2: pass2, 3: pass3, 4: pass4, 5: pass5 };

function bluestein(length: number): ComplexFft {
  let size = 1;
  while (size < 2 * length - 1) size *= 2;
  const inner = stockham(size);
  const chirpRe = new Float64Array(length);
  const chirpIm = new Float64Array(length);
  // k² modulo 2N in exact integers: the angle of a large k² would have lost its digits.
  let square = 0;
  for (let k = 0; k < length; k++) {
    const angle = (-Math.PI * square) / length;
    square = (square + 2 * k + 1) % (2 * length);
    chirpRe[k] = Math.cos(angle);
    chirpIm[k] = Math.sin(angle);
  }
  const kernelRe = new Float64Array(size);
  const kernelIm = new Float64Array(size);
  for (let k = 0; k < length; k++) {
    const mirror = k === 0 ? 0 : size - k;
    kernelRe[k] = kernelRe[mirror] = valueAt(chirpRe, k);
    kernelIm[k] = kernelIm[mirror] = -valueAt(chirpIm, k);
  }
  inner.forward(kernelRe, kernelIm);
  const workRe = new Float64Array(size);
  const workIm = new Float64Array(size);
  return {
    length,
    forward(re, im) {
      workRe.fill(0);
      workIm.fill(0);
      for (let k = 0; k < length; k++) {
        workRe[k] = valueAt(re, k) * valueAt(chirpRe, k) - valueAt(im, k) * valueAt(chirpIm, k);
        workIm[k] = valueAt(re, k) * valueAt(chirpIm, k) + valueAt(im, k) * valueAt(chirpRe, k);
      }
      inner.forward(workRe, workIm);
      for (let k = 0; k < size; k++) {
        const real =
          valueAt(workRe, k) * valueAt(kernelRe, k) - valueAt(workIm, k) * valueAt(kernelIm, k);
        // The inverse transform is the forward one of the conjugate.
        workIm[k] = -(
          valueAt(workRe, k) * valueAt(kernelIm, k) +
          valueAt(workIm, k) * valueAt(kernelRe, k)
        );
        workRe[k] = real;
      }
      inner.forward(workRe, workIm);
      for (let k = 0; k < length; k++) {
        const real = valueAt(workRe, k) / size;
        const imaginary = -valueAt(workIm, k) / size;
        re[k] = real * valueAt(chirpRe, k) - imaginary * valueAt(chirpIm, k);
        im[k] = real * valueAt(chirpIm, k) + imaginary * valueAt(chirpRe, k);
      }
    },
  };
}
