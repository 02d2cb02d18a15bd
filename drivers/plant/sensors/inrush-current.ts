import { EpochWalk } from '../epoch.ts';
import type { Plant } from '../plant.ts';
import type { SampleBlock } from '../sample-block.ts';

/** s of the longest step in which the source counts as constant. */
const longestStep = 10e-6;
/**
 * The capacitor is full at this part of the source's peak. Behind a rectifier the last per cent come and go with the load, which
 * has a waveform of its own.
 */
const full = { dc: 1 - 1e-6, mains: 0.98 };
/** s before a record at which the simulation begins: whatever happened earlier is over. In bleeding times. */
const memory = 20;

/**
 * A that charge the input capacitor when the source comes, or rises: through a resistor that limits them, and a diode. Under a
 * constant source V they are (V - v) / R e^(-t / RC) (closed form); a mains is stepped through its sine. The charge is lost
 * slowly without a source. What the lamp draws from the capacitor afterwards is its load, and told elsewhere.
 */
export class InrushCurrent {
  private readonly plant: Plant;
  private readonly mains: boolean;
  /** V at which the capacitor is full, over the source's rms. */
  private readonly fullOver: number;
  /** V of the capacitor at instant `at`; none before the first block. */
  private volts = 0;
  private at: number | null = null;

  constructor(plant: Plant) {
    this.plant = plant;
    this.mains = plant.lamp.supply.kind === 'mains';
    this.fullOver = this.mains ? full.mains * Math.SQRT2 : full.dc;
  }

  /** Adds the mean current over each sample. Blocks come in order of time. */
  addTo({ samples, t0, dt }: SampleBlock): void {
    const { bleeding } = this.plant.model.supply;
    let at = this.at;
    if (at === null) at = this.begin(Math.max(0, t0 - memory * bleeding), t0);
    const walk = new EpochWalk(this.plant.simulation.state, t0);
    for (let k = 0; k < samples.length; k++) {
      const t = t0 + k * dt;
      const { source } = walk.at(t + dt / 2);
      if (this.isFull(source)) this.bleed(source, dt);
      else samples[k] = (samples[k] ?? 0) + this.charge(source, t, dt) / dt;
    }
    this.at = t0 + samples.length * dt;
  }

  private begin(from: number, to: number): number {
    const walk = new EpochWalk(this.plant.simulation.state, from);
    for (let t = from; t < to; ) {
      const { source } = walk.at(t);
      const end = Math.min(to, walk.end);
      // A capacitor without a source, or a full one, needs no steps.
      const step = source > 0 && !this.isFull(source) ? Math.min(end, t + 1e-3) - t : end - t;
      this.charge(source, t, step);
      t = end - t - step > 1e-12 ? t + step : end;
    }
    return to;
  }

  private isFull(source: number): boolean {
    return source > 0 && this.volts >= this.fullOver * source;
  }

  /** A source that has fallen leaves the capacitor to the load. */
  private bleed(source: number, dt: number): void {
    const left = this.fullOver * source;
    if (this.volts > left)
      this.volts = Math.max(left, this.volts * Math.exp(-dt / this.plant.model.supply.bleeding));
  }

  /** A s that flow from instant `t` on for `dt`, signed as the source is. */
  private charge(source: number, t: number, dt: number): number {
    const { supply } = this.plant.model;
    if (source <= 0) {
      this.volts *= Math.exp(-dt / supply.bleeding);
      return 0;
    }
    if (this.isFull(source)) {
      this.bleed(source, dt);
      return 0;
    }
    const count = this.mains ? Math.ceil(dt / longestStep) : 1;
    const step = dt / count;
    const gone = -Math.expm1(-step / (supply.inrushResistance * supply.inputCapacitance));
    let sum = 0;
    for (let k = 0; k < count; k++) {
      const angle = 2 * Math.PI * supply.mainsFrequency * (t + (k + 0.5) * step);
      const volts = this.mains ? Math.SQRT2 * source * Math.sin(angle) : source;
      const rise = Math.max(0, Math.abs(volts) - this.volts) * gone;
      this.volts += rise;
      sum += Math.sign(volts) * rise;
    }
    return sum * supply.inputCapacitance;
  }
}
