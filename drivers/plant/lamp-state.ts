import type { Lamp } from '../../harness/bench/lamp.ts';
import { brokenReadings, Thermal } from './emitter/thermal.ts';
import type { Epoch } from './epoch.ts';
import type { PlantModel } from './model.ts';
import type { Output } from './output.ts';
import { designedRail, stageState } from './stage/channel-stage.ts';

/** Moves that are worth a new epoch: kelvin, and relative changes of rail and power. */
const temperatureMove = 0.005;
const railMove = 1e-4;
const powerMove = 0.01;

/** The slow side of the lamp: supply, rail, heat, and what the firmware set the stages to. Keeps the list of epochs. */
export class LampState {
  /** In order of time; there is always one. */
  readonly epochs: Epoch[];
  present: Epoch;
  /** V (or V rms) that the source is set to, and whether it is on. */
  source = 0;
  powered = false;
  private readonly model: PlantModel;
  private readonly lamp: Lamp;
  private readonly outputs: readonly Output[];
  private readonly thermal: Thermal;
  private readonly nominalRail: number;
  private steppedTo = 0;
  private joules = 0;
  private loadPower = 0;
  private settled = true;

  /** Without power at instant 0. */
  constructor(lamp: Lamp, model: PlantModel, outputs: readonly Output[]) {
    this.lamp = lamp;
    this.model = model;
    this.outputs = outputs;
    this.thermal = new Thermal(model.thermal);
    this.nominalRail = designedRail(lamp);
    this.present = this.epoch(0, 0);
    this.epochs = [this.present];
    this.settled = this.heatIsSettled();
  }

  get temperature(): number {
    return this.thermal.temperature;
  }

  /** °C, as the thermometer on the board tells the firmware. */
  get sensedTemperature(): number {
    const { sensor } = this.model.thermal;
    return sensor === 'sound' ? this.temperature : brokenReadings[sensor];
  }

  /** W that the lamp draws now. */
  get watts(): number {
    return this.power();
  }

  /** J that the lamp has taken up to `at`, which is not before the last step. */
  joulesAt(at: number): number {
    return this.joules + this.loadPower * Math.max(0, at - this.steppedTo);
  }

  /** Nothing slow is moving any more, as far as one can see. */
  get atRest(): boolean {
    return this.settled;
  }

  /** Brings heat and rail to instant `at`; a new epoch begins when they have moved far enough, or when `changed`. */
  step(at: number, changed = false): void {
    const { thermal, present } = this;
    this.joules = this.joulesAt(at);
    if (at > this.steppedTo) thermal.step(at - this.steppedTo, this.heat());
    this.steppedTo = at;
    this.loadPower = this.power();
    const rail = this.rail();
    const moved =
      changed ||
      Math.abs(thermal.temperature - present.temperature) > temperatureMove ||
      Math.abs(rail - present.rail) > railMove * Math.max(rail, present.rail) ||
      Math.abs(this.loadPower - present.power) > powerMove * present.power;
    this.settled = this.heatIsSettled();
    if (moved) this.open(at, rail);
  }

  private open(at: number, rail: number): void {
    const epoch = this.epoch(at, rail);
    if (this.present.from === at) this.epochs.pop();
    this.epochs.push(epoch);
    this.present = epoch;
    this.loadPower = this.power();
  }

  private epoch(from: number, rail: number): Epoch {
    const { model, nominalRail } = this;
    const channels = this.outputs.map((output) => {
      const { channel, setting } = output;
      const { emitter, nominal } = channel;
      const { current, cycle } = stageState(model.stage, channel, setting, rail, nominalRail);
      const voltage =
        emitter.forwardVoltage + emitter.dynamicResistance * (current - nominal.maxCurrent);
      return { output, current, cycle, voltage };
    });
    const { temperature } = this.thermal;
    const source = this.powered ? this.source : 0;
    return { from, rail, source, temperature, power: this.loadPower, channels };
  }

  /** W that all channels take from the rail at their present drives. */
  private power(): number {
    const { supply } = this.model;
    if (!this.powered) return 0;
    return supply.standby + this.ledPower() / supply.efficiency;
  }

  private ledPower(): number {
    const { rail, channels } = this.present;
    if (rail <= 0) return 0;
    // A linear sink burns what the LEDs do not take.
    const linear = this.model.stage.kind === 'linear';
    let sum = 0;
    for (const { output, current, voltage } of channels)
      sum += output.line.drive * current * (linear ? rail : voltage);
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
    const { lamp, model, nominalRail } = this;
    if (!this.powered || this.source <= 0) return 0;
    const relative = this.source / lamp.supply.nominal;
    if (lamp.supply.kind === 'mains') {
      // A corrector holds its bus; a plain rectifier follows the mains.
      const held = lamp.supply.powerFactorCorrection === 'good' && relative > 0.5;
      return nominalRail * (held ? 1 : relative);
    }
    const sag = (model.supply.sourceResistance * this.loadPower) / this.source;
    return Math.max(0, nominalRail * (relative - sag / lamp.supply.nominal));
  }
}
