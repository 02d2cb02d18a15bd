import type { SampleBlock } from '../sample-block.ts';

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
  /** s from sample to sample. */
  readonly dt: number;
  private readonly samples: Float32Array;
  private readonly t0: number;
  private readonly h: number;
  private readonly point: boolean;
  private k = 0;
  private area = 0;

  constructor(
    { samples, t0, dt }: SampleBlock,
    { bandwidth, point }: { readonly bandwidth: number; readonly point: boolean },
    pole: number,
  ) {
    this.samples = samples;
    this.t0 = t0;
    this.dt = dt;
    this.h = 2 * Math.PI * bandwidth;
    this.point = point;
    this.at = t0;
    this.pole = pole;
    if (point) this.addTo(0, pole);
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
    if (this.k < this.samples.length && this.at > this.t0 + (this.k + 0.5) * this.dt)
      this.endSample();
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
    if (this.point) this.addTo(this.k + 1, this.pole);
    else this.addTo(this.k, this.area / this.dt);
    this.area = 0;
    this.k++;
  }

  /** What lies behind the last sample is nobody's. */
  private addTo(k: number, amount: number): void {
    const { samples } = this;
    if (k < samples.length) samples[k] = (samples[k] ?? 0) + amount;
  }
}
