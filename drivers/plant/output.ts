import type { ModulatorSetup } from './firmware/firmware.ts';
import type { ChannelModel } from './model.ts';
import { DriveLine } from './modulator/drive-line.ts';
import type { ModulatorTraits } from './modulator/traits.ts';
import type { StageSetting } from './stage/channel-stage.ts';

/** The registers of one channel's output, as the firmware writes them and as the hardware takes them. */
export class Output {
  readonly channel: ChannelModel;
  readonly line = new DriveLine();
  readonly setting: StageSetting;
  private readonly modulator: ModulatorTraits;
  /** Full scale of the setup that the firmware asked for. */
  private askedFull = 1;
  /** What the drive register holds, before a limit cycle of the stage. */
  private register = 0;

  constructor(channel: ChannelModel, modulator: ModulatorTraits, setting: StageSetting) {
    this.channel = channel;
    this.modulator = modulator;
    this.setting = setting;
  }

  /** The firmware sets up the modulator of channel `number` at instant `at`; its drive starts at 0. */
  setUp(at: number, asked: ModulatorSetup, number: number): void {
    const { modulator } = this;
    this.askedFull = 2 ** asked.bits;
    this.register = 0;
    const setup = modulator.setup(asked, number);
    this.line.setUp(at, setup, modulator.clockFactor, modulator.startPhase(number));
  }

  /** The firmware writes the drive register of channel `number`: 0 to 2^bits of its setup. */
  write(at: number, value: number, number: number): void {
    const { line } = this;
    if (!line.span || !Number.isFinite(value)) return;
    const { full } = line.span;
    this.register = this.modulator.register((value / this.askedFull) * full, full, number);
    line.write(at, this.register);
  }

  /** Takes `factor` of the register where that lies below `below` of full: the swing of a current loop that hunts. */
  swing(at: number, below: number, factor: number): void {
    const full = this.line.span?.full ?? 1;
    if (this.register > 0 && this.register < below * full)
      this.line.write(at, Math.max(1, this.register * factor));
  }
}
