/**
 * Adds a signal made of straight pieces to samples, behind a sensor of one pole. For u(t) = u0 + m t the pole's output
 * is s(t) = u(t) - m/h + (s0 - u0 + m/h) e^-ht with h = 2 pi B; its integral is taken over the sample (`point`: its
 * value at the sample's start instead).
 */
export class RampSampler {
  /** Instant up to which the signal is known, s. */
  at: number;
  /** Output of the sensor at that instant. */
  pole: number;
  private readonly out: Float32Array;
  private readonly count: number;
  private readonly t0: number;
  private readonly dt: number;
  private readonly h: number;
  private readonly point: boolean;
  private k = 0;
  private area = 0;

  constructor(
    out: Float32Array,
    count: number,
    t0: number,
    dt: number,
    { bandwidth, point }: { readonly bandwidth: number; readonly point: boolean },
    pole: number,
  ) {
    this.out = out;
    this.count = count;
    this.t0 = t0;
    this.dt = dt;
    this.h = 2 * Math.PI * bandwidth;
    this.point = point;
    this.at = t0;
    this.pole = pole;
    if (point && count > 0) out[0]! += pole;
  }

  /** The signal goes straight from `from` (now) to `to` (at instant `until`). */
  ramp(until: number, from: number, to: number): void {
    if (until <= this.at) return;
    const slope = (to - from) / (until - this.at);
    let u = from;
    for (;;) {
      const edge = this.t0 + (this.k + 1) * this.dt;
      const end = Math.min(until, edge);
      const time = end - this.at;
      if (time > 0) this.advance(time, u, slope);
      u += slope * time;
      this.at = end;
      if (edge > until) return;
      this.endSample();
      if (edge >= until) return;
    }
  }

  /** The last sample, when rounding has left it open. */
  finish(): void {
    if (this.k < this.count && this.at > this.t0 + (this.k + 0.5) * this.dt) this.endSample();
  }

  private advance(time: number, u: number, slope: number): void {
    const { h } = this;
    if (!Number.isFinite(h)) {
      this.area += (u + (slope * time) / 2) * time;
      this.pole = u + slope * time;
      return;
    }
    const lag = slope / h;
    const away = this.pole - u + lag;
    const left = Math.exp(-h * time);
    this.area += (u - lag + (slope * time) / 2) * time + (away * (1 - left)) / h;
    this.pole = u + slope * time - lag + away * left;
  }

  private endSample(): void {
    if (this.point) {
      if (this.k + 1 < this.count) this.out[this.k + 1]! += this.pole;
    } else if (this.k < this.count) this.out[this.k]! += this.area / this.dt;
    this.area = 0;
    this.k++;
  }
}
