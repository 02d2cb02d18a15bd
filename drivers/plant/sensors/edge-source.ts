import type { Epoch } from '../lamp-state.ts';
import { gatePulses } from '../modulator/gate-pulses.ts';
import type { Plant } from '../plant.ts';
import { multiplyByRipple } from '../stage/current-ripple.ts';
import { inductorCurrent, type OperatingPoint } from '../stage/fixed-off-time.ts';
import { epochAt, type GatedSource } from './gated-source.ts';
import { RampSampler } from './ramp-sampler.ts';
import type { SignalSource } from './signal-source.ts';

/**
 * The same signals edge by edge: every gate pulse with its ramps and, where a sample is short against the switching
 * period, every switching cycle; the sensor's pole is applied exactly between the edges. For fast records, and for
 * converters that look at an instant instead of a mean. Cost: per edge.
 */
export class EdgeSource implements SignalSource {
  private readonly plant: Plant;
  private readonly mixed: GatedSource;
  private readonly options: { readonly bandwidth: number; readonly point: boolean };
  /** One a channel: the pole's state goes on from block to block. */
  private readonly poles: Float64Array;

  constructor(
    plant: Plant,
    mixed: GatedSource,
    options: { readonly bandwidth: number; readonly point: boolean },
  ) {
    this.plant = plant;
    this.mixed = mixed;
    this.options = options;
    this.poles = new Float64Array(plant.lamp.channels.length);
  }

  fill(block: Float32Array, count: number, t0: number, dt: number): void {
    block.fill(0, 0, count);
    const { epochs } = this.plant.simulation.state;
    for (let channel = 0; channel < this.poles.length; channel++) {
      const sampler = new RampSampler(block, count, t0, dt, this.options, this.poles[channel]!);
      for (let index = epochAt(epochs, t0); index < epochs.length; index++) {
        const from = Math.max(t0, index === 0 ? t0 : epochs[index]!.from);
        const to = Math.min(t0 + count * dt, epochs[index + 1]?.from ?? Number.POSITIVE_INFINITY);
        if (from >= t0 + count * dt) break;
        if (to > from) this.addEpoch(sampler, epochs[index]!, channel, from, to, dt);
      }
      sampler.finish();
      this.poles[channel] = sampler.pole;
    }
    this.addConstant(block, count, t0, dt);
    multiplyByRipple(block, count, t0, dt, this.plant.model, this.options.point);
  }

  private addConstant(block: Float32Array, count: number, t0: number, dt: number): void {
    const { epochs } = this.plant.simulation.state;
    let index = epochAt(epochs, t0);
    for (let k = 0; k < count; k++) {
      while ((epochs[index + 1]?.from ?? Number.POSITIVE_INFINITY) <= t0 + k * dt) index++;
      block[k]! += this.mixed.mixture(epochs[index]!).constant;
    }
  }

  private addEpoch(
    sampler: RampSampler,
    epoch: Epoch,
    channel: number,
    from: number,
    to: number,
    dt: number,
  ): void {
    const contribution = this.mixed.mixture(epoch).channels[channel];
    const line = this.plant.simulation.lines[channel]!;
    const span = line.spans[Math.max(0, line.spanAt(from))];
    if (!contribution || !span) {
      sampler.ramp(to, 0, 0);
    } else if (span.setup.kind === 'analogue') {
      this.addLevels(sampler, channel, from, to, (drive) => contribution.analogue(drive));
    } else {
      this.addPulses(sampler, epoch, channel, contribution.on, { from, to, dt });
    }
  }

  private addPulses(
    sampler: RampSampler,
    epoch: Epoch,
    channel: number,
    full: number,
    { from, to, dt }: { readonly from: number; readonly to: number; readonly dt: number },
  ): void {
    const line = this.plant.simulation.lines[channel]!;
    const { cycle, current } = epoch.channels[channel]!;
    const seen = cycle && Number.isFinite(cycle.period) && dt < cycle.period ? cycle : null;
    const shaper = new PulseShaper(sampler, this.plant, full, seen, current);
    for (const { on, off } of gatePulses(line, from - shaper.reach, to)) {
      if (off > from - shaper.reach) shaper.pulse(on, off);
    }
    shaper.rest(to);
  }

  private addLevels(
    sampler: RampSampler,
    channel: number,
    from: number,
    to: number,
    level: (drive: number) => number,
  ): void {
    const line = this.plant.simulation.lines[channel]!;
    const index = Math.max(0, line.spanAt(from));
    const last = line.endOfSpan(index);
    for (let run = line.runAt(index, line.positionOf(index, from)); run < last; run++) {
      if (line.instantOf(index, line.position[run]!) >= to) break;
      const next = run + 1 < last ? line.instantOf(index, line.position[run + 1]!) : to;
      const end = Math.min(to, next);
      const value = level(line.value[run]! / line.spans[index]!.full);
      if (end > sampler.at) sampler.ramp(end, value, value);
    }
  }
}

/** Turns gate pulses into ramps of the signal, with the switching cycle on top where it can be seen. */
class PulseShaper {
  /** s before a stretch within which an earlier pulse can still matter. */
  readonly reach: number;
  private readonly sampler: RampSampler;
  private readonly plant: Plant;
  private readonly full: number;
  private readonly cycle: OperatingPoint | null;
  private readonly mean: number;
  /** Relative level (1: settled) at instant `at`. */
  private level = 0;
  private at: number;

  constructor(
    sampler: RampSampler,
    plant: Plant,
    full: number,
    cycle: OperatingPoint | null,
    mean: number,
  ) {
    const { riseTime, fallTime, overshootTime } = plant.model.stage;
    this.sampler = sampler;
    this.plant = plant;
    this.full = full;
    this.cycle = cycle;
    this.mean = mean;
    this.reach = riseTime + fallTime + overshootTime;
    this.at = sampler.at - this.reach;
  }

  pulse(on: number, off: number): void {
    const { riseTime, overshoot, overshootTime, shortestPulse } = this.plant.model.stage;
    if (off - on < shortestPulse) return;
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
    const { fallTime } = this.plant.model.stage;
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
    if (!this.cycle || (from === 0 && level === 0)) this.emit(to, from, level);
    else this.emitCycles(this.cycle, to, levelAt);
    this.level = level;
    this.at = to;
  }

  private emit(to: number, from: number, level: number): void {
    // What lies before the sampler's start is only there for its level.
    const begin = Math.max(this.at, this.sampler.at);
    if (to <= begin) return;
    const part = (begin - this.at) / (to - this.at);
    this.sampler.ramp(to, this.full * (from + (level - from) * part), this.full * level);
  }

  private emitCycles(cycle: OperatingPoint, to: number, levelAt: (t: number) => number): void {
    const { sampler, full, mean } = this;
    const scale = full / mean;
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
