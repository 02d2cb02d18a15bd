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
export function isSmooth(length: number): boolean {
  for (const prime of [2, 3, 5]) while (length % prime === 0) length /= prime;
  return length === 1;
}

function factors(length: number): number[] | null {
  const list: number[] = [];
  for (const radix of [4, 2, 3, 5]) {
    while (length % radix === 0) {
      list.push(radix);
      length /= radix;
    }
  }
  return length === 1 ? list : null;
}

function stockham(length: number): ComplexFft {
  const radices = factors(length) ?? [];
  const { cos, sin } = unitRoots(length);
  const spareRe = new Float64Array(length);
  const spareIm = new Float64Array(length);
  return {
    length,
    forward(re, im) {
      let from: Pair = { re, im };
      let to: Pair = { re: spareRe, im: spareIm };
      let stride = 1;
      for (const radix of radices) {
        passes[radix]!(from, to, length, stride, cos, sin);
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

type Pass = (
  from: Pair,
  to: Pair,
  length: number,
  stride: number,
  cos: Float64Array,
  sin: Float64Array,
) => void;

function unitRoots(length: number): { cos: Float64Array; sin: Float64Array } {
  const cos = new Float64Array(length);
  const sin = new Float64Array(length);
  const step = (-2 * Math.PI) / length;
  for (let k = 0; k < length; k++) {
    cos[k] = Math.cos(step * k);
    sin[k] = Math.sin(step * k);
  }
  return { cos, sin };
}

// One pass: y[q + s(rp + t)] = w^(tps) Σ_u x[q + s(p + u·m)] ω_r^(tu), with m = length/(r·s). The arithmetic is
// written out for each radix, for these loops are where a long record spends its time.

const pass2: Pass = (from, to, length, stride, cos, sin) => {
  const { re: ar, im: ai } = from;
  const { re: br, im: bi } = to;
  const half = length >> 1;
  for (let w = 0; w < half; w += stride) {
    const c = cos[w]!;
    const s = sin[w]!;
    const o = 2 * w;
    for (let q = 0; q < stride; q++) {
      const i = w + q;
      const xr = ar[i]!;
      const xi = ai[i]!;
      const yr = ar[i + half]!;
      const yi = ai[i + half]!;
      const dr = xr - yr;
      const di = xi - yi;
      br[o + q] = xr + yr;
      bi[o + q] = xi + yi;
      br[o + stride + q] = dr * c - di * s;
      bi[o + stride + q] = dr * s + di * c;
    }
  }
};

const pass3: Pass = (from, to, length, stride, cos, sin) => {
  const { re: ar, im: ai } = from;
  const { re: br, im: bi } = to;
  const third = length / 3;
  const root = Math.sqrt(3) / 2;
  for (let w = 0; w < third; w += stride) {
    const c1 = cos[w]!;
    const s1 = sin[w]!;
    const c2 = cos[2 * w]!;
    const s2 = sin[2 * w]!;
    const o = 3 * w;
    for (let q = 0; q < stride; q++) {
      const i = w + q;
      const xr = ar[i]!;
      const xi = ai[i]!;
      const sr = ar[i + third]! + ar[i + 2 * third]!;
      const si = ai[i + third]! + ai[i + 2 * third]!;
      const dr = root * (ar[i + third]! - ar[i + 2 * third]!);
      const di = root * (ai[i + third]! - ai[i + 2 * third]!);
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

const pass4: Pass = (from, to, length, stride, cos, sin) => {
  const { re: ar, im: ai } = from;
  const { re: br, im: bi } = to;
  const m = length >> 2;
  for (let w = 0; w < m; w += stride) {
    const c1 = cos[w]!;
    const s1 = sin[w]!;
    const c2 = cos[2 * w]!;
    const s2 = sin[2 * w]!;
    const c3 = cos[3 * w]!;
    const s3 = sin[3 * w]!;
    const o = 4 * w;
    for (let q = 0; q < stride; q++) {
      const i = w + q;
      const acr = ar[i]! + ar[i + 2 * m]!;
      const aci = ai[i]! + ai[i + 2 * m]!;
      const adr = ar[i]! - ar[i + 2 * m]!;
      const adi = ai[i]! - ai[i + 2 * m]!;
      const bcr = ar[i + m]! + ar[i + 3 * m]!;
      const bci = ai[i + m]! + ai[i + 3 * m]!;
      const bdr = ar[i + m]! - ar[i + 3 * m]!;
      const bdi = ai[i + m]! - ai[i + 3 * m]!;
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

const pass5: Pass = (from, to, length, stride, cos, sin) => {
  const { re: ar, im: ai } = from;
  const { re: br, im: bi } = to;
  const m = length / 5;
  for (let w = 0; w < m; w += stride) {
    const c1 = cos[w]!;
    const s1 = sin[w]!;
    const c2 = cos[2 * w]!;
    const s2 = sin[2 * w]!;
    const c3 = cos[3 * w]!;
    const s3 = sin[3 * w]!;
    const c4 = cos[4 * w]!;
    const s4 = sin[4 * w]!;
    const o = 5 * w;
    for (let q = 0; q < stride; q++) {
      const i = w + q;
      const xr = ar[i]!;
      const xi = ai[i]!;
      const s14r = ar[i + m]! + ar[i + 4 * m]!;
      const s14i = ai[i + m]! + ai[i + 4 * m]!;
      const d14r = ar[i + m]! - ar[i + 4 * m]!;
      const d14i = ai[i + m]! - ai[i + 4 * m]!;
      const s23r = ar[i + 2 * m]! + ar[i + 3 * m]!;
      const s23i = ai[i + 2 * m]! + ai[i + 3 * m]!;
      const d23r = ar[i + 2 * m]! - ar[i + 3 * m]!;
      const d23i = ai[i + 2 * m]! - ai[i + 3 * m]!;
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
      const t1r = e1r + f1i;
      const t1i = e1i - f1r;
      br[j + stride] = t1r * c1 - t1i * s1;
      bi[j + stride] = t1r * s1 + t1i * c1;
      const t2r = e2r + f2i;
      const t2i = e2i - f2r;
      br[j + 2 * stride] = t2r * c2 - t2i * s2;
      bi[j + 2 * stride] = t2r * s2 + t2i * c2;
      const t3r = e2r - f2i;
      const t3i = e2i + f2r;
      br[j + 3 * stride] = t3r * c3 - t3i * s3;
      bi[j + 3 * stride] = t3r * s3 + t3i * c3;
      const t4r = e1r - f1i;
      const t4i = e1i + f1r;
      br[j + 4 * stride] = t4r * c4 - t4i * s4;
      bi[j + 4 * stride] = t4r * s4 + t4i * c4;
    }
  }
};

const passes: Readonly<Record<number, Pass>> = { 2: pass2, 3: pass3, 4: pass4, 5: pass5 };

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
    kernelRe[k] = kernelRe[mirror] = chirpRe[k]!;
    kernelIm[k] = kernelIm[mirror] = -chirpIm[k]!;
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
        workRe[k] = re[k]! * chirpRe[k]! - im[k]! * chirpIm[k]!;
        workIm[k] = re[k]! * chirpIm[k]! + im[k]! * chirpRe[k]!;
      }
      inner.forward(workRe, workIm);
      for (let k = 0; k < size; k++) {
        const real = workRe[k]! * kernelRe[k]! - workIm[k]! * kernelIm[k]!;
        // The inverse transform is the forward one of the conjugate.
        workIm[k] = -(workRe[k]! * kernelIm[k]! + workIm[k]! * kernelRe[k]!);
        workRe[k] = real;
      }
      inner.forward(workRe, workIm);
      for (let k = 0; k < length; k++) {
        const real = workRe[k]! / size;
        const imaginary = -workIm[k]! / size;
        re[k] = real * chirpRe[k]! - imaginary * chirpIm[k]!;
        im[k] = real * chirpIm[k]! + imaginary * chirpRe[k]!;
      }
    },
  };
}
