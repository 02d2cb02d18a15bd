import { plainBoard } from '../../../../drivers/plant/firmware/board.ts';
import type {
  Firmware,
  LampHardware,
  LinkInput,
  ModulatorSetup,
} from '../../../../drivers/plant/firmware/firmware.ts';

const tickPeriod = 1e-3;

/** Hardware with registers and nothing behind them: what the firmware writes is what a test reads. */
export class BareLamp {
  readonly drives: number[];
  readonly setups: ModulatorSetup[] = [];
  readonly memory = new Uint8Array(256).fill(0xff);
  /** Text that came back on the console, and backward frames of DALI. */
  heard = '';
  answers: number[] = [];
  /** What came back on the DMX512 line. */
  line: number[] = [];
  busy = false;
  /** Charged to its processor so far. */
  instructions = 0;
  /** W that it takes, all the time. */
  watts = 40;
  idle = false;
  ticks = 0;
  time = 0;
  /** Also told of every byte that comes back. */
  onByte: (link: 'console' | 'dali' | 'dmx', byte: number) => void = () => {};
  readonly firmware: Firmware;
  readonly #channels: number;
  #tickDue = tickPeriod;

  constructor(firmware: Firmware, channels = 6) {
    this.firmware = firmware;
    this.#channels = channels;
    this.drives = new Array<number>(channels).fill(0);
    this.restart();
  }

  restart(): void {
    this.drives.fill(0);
    this.idle = false;
    this.firmware.start(this.#hardware());
  }

  /** Lets time go by, tick by tick; an idle lamp is not ticked. */
  run(seconds: number, eachTick?: (time: number) => void): void {
    const end = this.time + seconds;
    while (this.#tickDue <= end + 1e-9) {
      this.time = this.#tickDue;
      this.#tickDue += tickPeriod;
      if (!this.idle) {
        this.idle = this.firmware.tick();
        this.ticks++;
      }
      eachTick?.(this.time);
    }
    this.time = end;
  }

  receive(input: LinkInput): void {
    this.idle = false;
    this.firmware.receive(input);
  }

  say(line: string): string {
    this.heard = '';
    for (const byte of new TextEncoder().encode(`${line}\r`))
      this.receive({ link: 'console', byte });
    return this.heard;
  }

  /** One forward frame; the byte of its answer or null. */
  dali(...frame: number[]): number | null {
    this.answers = [];
    this.receive({ link: 'dali', frame });
    return this.answers[0] ?? null;
  }

  dmx(startCode: number, slots: Iterable<number>): void {
    this.receive({ link: 'dmx', event: 'break' });
    for (const byte of [startCode, ...slots]) this.receive({ link: 'dmx', event: 'byte', byte });
  }

  /** Mean light of a channel over a number of ticks, 0..1, as a slow sensor sees it. */
  light(channel: number, ticks = 64): number {
    let sum = 0;
    this.run(ticks * tickPeriod, () => (sum += this.drives[channel]!));
    return sum / ticks / 2 ** this.setups[channel]!.bits;
  }

  #hardware(): LampHardware {
    return {
      ...plainBoard,
      channels: this.#channels,
      tickPeriod,
      now: () => this.time,
      setModulator: (channel, setup) => (this.setups[channel] = setup),
      setDrive: (channel, value) => (this.drives[channel] = value),
      setPeakCurrent: () => {},
      setOffTime: () => {},
      sendByte: (link, byte) => {
        if (link === 'dali') this.answers.push(byte);
        else if (link === 'dmx') this.line.push(byte);
        else this.heard += String.fromCharCode(byte);
        this.onByte(link, byte);
      },
      supplyVoltage: () => 48,
      supplyPower: () => this.watts,
      suppliedEnergy: () => this.watts * this.time,
      temperature: () => 25,
      convert: () => 0,
      setBusy: (high) => (this.busy = high),
      charge: (instructions) => (this.instructions += instructions),
      memory: this.memory,
      log: () => {},
      probe: () => {},
      wroteMemory: () => {},
      memoryBusy: () => false,
    };
  }
}
