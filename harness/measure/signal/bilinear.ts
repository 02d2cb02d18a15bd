import type { Section } from './sections.ts';

/** Coefficients of a polynomial in s up to the second power, lowest first. */
export type Quadratic = readonly [number, number, number];

/**
 * The digital section of an analogue one, numerator(s) / denominator(s), by the bilinear transform.
 *
 * @param exactAt frequency (Hz) at which the two responses agree exactly; without it they agree at 0 Hz and the digital
 *   response at f is the analogue one at tan(π f / rate) · rate / π
 * Source: Oppenheim and Schafer, Discrete-Time Signal Processing, 7.1.2 (from memory).
 */
export function bilinear(
  [n0, n1, n2]: Quadratic,
  [d0, d1, d2]: Quadratic,
  rate: number,
  exactAt?: number,
): Section {
  const k =
    exactAt === undefined
      ? 2 * rate
      : (2 * Math.PI * exactAt) / Math.tan((Math.PI * exactAt) / rate);
  const a0 = d0 + d1 * k + d2 * k * k;
  return {
    b0: (n0 + n1 * k + n2 * k * k) / a0,
    b1: (2 * n0 - 2 * n2 * k * k) / a0,
    b2: (n0 - n1 * k + n2 * k * k) / a0,
    a1: (2 * d0 - 2 * d2 * k * k) / a0,
    a2: (d0 - d1 * k + d2 * k * k) / a0,
  };
}

/** First-order high pass, -3 dB at `corner` Hz. */
export function highPass(corner: number, rate: number): Section {
  const omega = 2 * Math.PI * corner;
  return bilinear([0, 1, 0], [omega, 1, 0], rate, corner);
}

/** First-order low pass, -3 dB at `corner` Hz. */
export function lowPass(corner: number, rate: number): Section {
  const omega = 2 * Math.PI * corner;
  return bilinear([omega, 0, 0], [omega, 1, 0], rate, corner);
}

/** Butterworth low pass of even order, -3 dB at `corner` Hz, as order/2 sections. */
export function butterworth(order: number, corner: number, rate: number): Section[] {
  const omega = 2 * Math.PI * corner;
  const sections: Section[] = [];
  for (let k = 0; k < order / 2; k++) {
    const damping = 2 * Math.sin((Math.PI * (2 * k + 1)) / (2 * order));
    sections.push(
      bilinear([omega * omega, 0, 0], [omega * omega, damping * omega, 1], rate, corner),
    );
  }
  return sections;
}
