import type { Lamp } from '../../harness/bench/lamp.ts';
import { Thermal } from './emitter/thermal.ts';
import type { PlantModel } from './model.ts';
import type { DriveLine } from './modulator/drive-line.ts';
import { nominalRail, type StageSetting, stageState } from './stage/channel-stage.ts';
import type { OperatingPoint } from './stage/fixed-off-time.ts';

/** One channel while its gate is on. */
export interface ChannelState {
  /** A, mean while on. */
  readonly current: number;
  readonly cycle: OperatingPoint | null;
  /** V across the LEDs. */
  readonly voltage: number;
}

/** A stretch of time in which temperature, rail and settings of the stages stay as they are: everything slow. */
export interface Epoch {
  /** s */
  readonly from: number;
  /** V; 0: without power. */
  readonly rail: number;
  /** V or V rms at the terminals. */
  readonly source: number;
  /** degrees Celsius of the LED board */
  readonly temperature: number;
  /** W drawn by the lamp. */
  readonly power: number;
  readonly channels: readonly ChannelState[];
}

/** Moves that are worth a new epoch: kelvin, and relative changes of rail and power. */
const temperatureMove = 0.005;
const railMove = 1e-4;
const powerMove = 0.01;

/** The slow side of the lamp: supply, rail, heat, and what the firmware set the stages to. Keeps the list of epochs. */
export class LampState {
  readonly epochs: Epoch[] = [];
  readonly settings: StageSetting[];
  /** V (or V rms) that the source is set to, and whether it is on. */
  source = 0;
  powered = false;
  private readonly model: PlantModel;
  private readonly lamp: Lamp;
  private readonly lines: readonly DriveLine[];
  private readonly thermal: Thermal;
  private steppedTo = 0;
  private loadPower = 0;
  private settled = true;

  constructor(lamp: Lamp, model: PlantModel, lines: readonly DriveLine[]) {
    this.lamp = lamp;
    this.model = model;
    this.lines = lines;
    this.thermal = new Thermal(model.thermal);
    const offTime = lamp.stage.kind === 'fixed-off-time' ? lamp.stage.offTime : 0;
    this.settings = lamp.channels.map(() => ({ peak: 0, offTime }));
  }

  get present(): Epoch {
    return this.epochs[this.epochs.length - 1]!;
  }

  get temperature(): number {
    return this.thermal.temperature;
  }

  /** W that the lamp draws now. */
  get watts(): number {
    return this.power();
  }

  /** Nothing slow is moving any more, as far as one can see. */
  get atRest(): boolean {
    return this.settled;
  }

  /** Brings heat and rail to instant `at`; a new epoch begins when they have moved far enough, or when `changed`. */
  step(at: number, changed = false): void {
    const { thermal, epochs } = this;
    if (at > this.steppedTo) thermal.step(at - this.steppedTo, this.heat());
    this.steppedTo = at;
    this.loadPower = this.power();
    const rail = this.rail();
    const last = epochs[epochs.length - 1];
    const moved =
      !last ||
      changed ||
      Math.abs(thermal.temperature - last.temperature) > temperatureMove ||
      Math.abs(rail - last.rail) > railMove * Math.max(rail, last.rail) ||
      Math.abs(this.loadPower - last.power) > powerMove * last.power;
    this.settled = this.heatIsSettled();
    if (moved) this.open(at, rail);
  }

  private open(at: number, rail: number): void {
    const { lamp, model, settings } = this;
    const channels = settings.map((setting, index) => {
      const emitter = model.emitter[index]!;
      const { current, cycle } = stageState(model.stage, emitter, lamp, index, setting, rail);
      const nominal = lamp.channels[index]!.maxCurrent;
      const voltage = emitter.forwardVoltage + emitter.dynamicResistance * (current - nominal);
      return { current, cycle, voltage };
    });
    const { temperature } = this.thermal;
    const source = this.powered ? this.source : 0;
    const epoch = { from: at, rail, source, temperature, power: this.loadPower, channels };
    if (this.epochs.length > 0 && this.present.from === at) this.epochs.pop();
    this.epochs.push(epoch);
    this.loadPower = this.power();
  }

  /** W that all channels take from the rail at their present drives. */
  private power(): number {
    const { supply } = this.model;
    if (!this.powered) return 0;
    return supply.standby + this.ledPower() / supply.efficiency;
  }

  private ledPower(): number {
    const last = this.epochs[this.epochs.length - 1];
    if (!last || last.rail <= 0) return 0;
    // A linear sink burns what the LEDs do not take.
    const linear = this.model.stage.kind === 'linear';
    let sum = 0;
    for (let index = 0; index < last.channels.length; index++) {
      const { current, voltage } = last.channels[index]!;
      sum += this.lines[index]!.drive * current * (linear ? last.rail : voltage);
    }
    return sum;
  }

  /** W that stay in the lamp as heat. Nearly all: light is a small part and is counted as heat. */
  private heat(): number {
    return this.powered ? this.ledPower() : 0;
  }

  private heatIsSettled(): boolean {
    const { thermal, model } = this;
    const end = model.thermal.ambient + model.thermal.resistance * this.heat();
    return Math.abs(end - thermal.temperature) < temperatureMove;
  }

  /** V: the source less its sag (DC), or the rectified and regulated bus in proportion to the mains. */
  private rail(): number {
    const { lamp, model } = this;
    if (!this.powered || this.source <= 0) return 0;
    const relative = this.source / lamp.supply.nominal;
    if (lamp.supply.kind === 'mains') {
      // A corrector holds its bus; a plain rectifier follows the mains.
      const held = lamp.supply.powerFactorCorrection === 'good' && relative > 0.5;
      return nominalRail(lamp) * (held ? 1 : relative);
    }
    const sag = (model.supply.sourceResistance * this.loadPower) / this.source;
    return Math.max(0, nominalRail(lamp) * (relative - sag / lamp.supply.nominal));
  }
}
