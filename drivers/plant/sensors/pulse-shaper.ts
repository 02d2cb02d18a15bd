import { inductorCurrent, type OperatingPoint } from '../stage/fixed-off-time.ts';
import type { StageTraits } from '../stage/traits.ts';
import type { RampSampler } from './ramp-sampler.ts';

/** A settled pulse as the sensor sees it. */
export interface SeenPulse {
  /** The signal, in its unit. */
  readonly full: number;
  /** The switching cycle where the record is fast enough to show it, about a mean current of `mean` A. */
  readonly cycle: OperatingPoint | null;
  readonly mean: number;
}

/** Turns gate pulses into ramps of the signal, with the switching cycle on top where it can be seen. */
export class PulseShaper {
  /** s before a stretch within which an earlier pulse can still matter. */
  readonly reach: number;
  private readonly sampler: RampSampler;
  private readonly stage: StageTraits;
  private readonly seen: SeenPulse;
  /** Relative level (1: settled) at instant `at`. */
  private level = 0;
  private at: number;

  constructor(sampler: RampSampler, stage: StageTraits, seen: SeenPulse) {
    const { riseTime, fallTime, overshootTime } = stage;
    this.sampler = sampler;
    this.stage = stage;
    this.seen = seen;
    this.reach = riseTime + fallTime + overshootTime;
    this.at = sampler.at - this.reach;
  }

  pulse(gateOn: number, off: number): void {
    const { riseTime, overshoot, overshootTime, shortestPulse, deadTime } = this.stage;
    const on = gateOn + deadTime;
    if (off - gateOn < shortestPulse || on >= off) return;
    this.rest(on);
    const peak = 1 + overshoot;
    const rising = riseTime * Math.max(0, 1 - this.level / peak);
    const top = Math.min(off, on + rising);
    this.move(top, rising > 0 ? this.level + (peak * (top - on)) / riseTime : peak);
    if (top >= off) return;
    const settled = Math.min(off, top + overshootTime);
    if (overshoot > 0 && overshootTime > 0) {
      this.move(settled, peak - (overshoot * (settled - top)) / overshootTime);
    }
    if (settled >= off) return;
    this.level = 1;
    this.move(off, 1);
  }

  /** Falls to dark and stays dark until `to`. */
  rest(to: number): void {
    const { fallTime } = this.stage;
    const dark = this.at + this.level * fallTime;
    if (dark > to) {
      this.move(to, this.level - (to - this.at) / fallTime);
      return;
    }
    if (this.level > 0) this.move(dark, 0);
    this.move(to, 0);
  }

  /** Straight to `level` at instant `to`. */
  private move(to: number, level: number): void {
    if (to <= this.at) {
      this.level = level;
      return;
    }
    const from = this.level;
    const start = this.at;
    const levelAt = (t: number): number => from + ((level - from) * (t - start)) / (to - start);
    const { cycle } = this.seen;
    if (!cycle || (from === 0 && level === 0)) this.emit(to, from, level);
    else this.emitCycles(cycle, to, levelAt);
    this.level = level;
    this.at = to;
  }

  private emit(to: number, from: number, level: number): void {
    // What lies before the sampler's start is only there for its level.
    const begin = Math.max(this.at, this.sampler.at);
    if (to <= begin) return;
    const part = (begin - this.at) / (to - this.at);
    const { full } = this.seen;
    this.sampler.ramp(to, full * (from + (level - from) * part), full * level);
  }

  private emitCycles(cycle: OperatingPoint, to: number, levelAt: (t: number) => number): void {
    const { sampler } = this;
    const scale = this.seen.full / this.seen.mean;
    let t = Math.max(this.at, sampler.at);
    while (t < to) {
      const next = Math.min(to, nextCorner(cycle, t));
      // Corners belong to both sides: look just inside them.
      const inside = Math.min(1e-12, (next - t) / 4);
      const start = scale * levelAt(t) * inductorCurrent(cycle, t + inside);
      sampler.ramp(next, start, scale * levelAt(next) * inductorCurrent(cycle, next - inside));
      t = next;
    }
  }
}

/** The next instant after `t` at which the inductor current changes its slope. */
function nextCorner({ period, onTime, fallTime }: OperatingPoint, t: number): number {
  const begin = Math.floor(t / period) * period;
  for (const corner of [onTime, onTime + fallTime, period, period + onTime]) {
    if (begin + corner > t + 1e-13) return begin + corner;
  }
  return begin + 2 * period;
}
