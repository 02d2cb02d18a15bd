import { restartCauses } from './board.ts';
import type { Firmware, LampHardware, LinkInput, MainLoop, ModulatorSetup } from './firmware.ts';

/** What firmware tells its hardware. */
export type Told =
  | { readonly kind: 'modulator'; readonly channel: number; readonly setup: ModulatorSetup }
  | { readonly kind: 'drive'; readonly channel: number; readonly value: number }
  | { readonly kind: 'peak-current'; readonly channel: number; readonly amps: number }
  | { readonly kind: 'off-time'; readonly channel: number; readonly seconds: number }
  | { readonly kind: 'byte'; readonly link: string; readonly byte: number }
  | { readonly kind: 'busy'; readonly high: boolean }
  | { readonly kind: 'memory'; readonly address: number; readonly value: number }
  | { readonly kind: 'log'; readonly text: Uint8Array }
  | {
      readonly kind: 'probe';
      readonly name: string;
      readonly unit: string;
      readonly value: number;
    };

/** What it reads of its lamp: V, W, J, °C; why it started last, as lamp-port.h numbers it; whether its memory is being written, 0 or 1. */
export type Reading = Sense | 'restartCause' | 'memoryBusy';
type Sense = 'supplyVoltage' | 'supplyPower' | 'suppliedEnergy' | 'temperature';

/** Who listens at the wall between firmware and hardware; instants are those of the call under way. */
export interface WallListener {
  /** The firmware is about to be called: to start, to tick, or with an input. */
  called?(call: 'start' | 'tick' | LinkInput, hardware: LampHardware): void;
  told?(told: Told): void;
  read?(what: Reading, value: number): void;
  /** An analogue input was converted. */
  converted?(input: number, code: number): void;
}

/** Firmware, and everything that passes between it and its hardware told to others. What it does stays the same. */
export class OverheardFirmware implements Firmware {
  readonly name: string;
  readonly kind: string;
  readonly takesDatagrams: boolean;
  readonly mainLoop?: MainLoop;
  readonly digest: string | null;
  readonly #firmware: Firmware;
  readonly #listeners: readonly WallListener[];
  #hardware: LampHardware | null = null;

  constructor(firmware: Firmware, listeners: readonly WallListener[]) {
    this.name = firmware.name;
    this.kind = firmware.kind;
    this.takesDatagrams = firmware.takesDatagrams ?? false;
    this.digest = firmware.digest;
    if (firmware.mainLoop) this.mainLoop = firmware.mainLoop;
    this.#firmware = firmware;
    this.#listeners = listeners;
  }

  start(hardware: LampHardware): void {
    this.#hardware = hardware;
    this.#called('start');
    const tell = (told: Told): void => {
      for (const listener of this.#listeners) listener.told?.(told);
    };
    this.#firmware.start({ ...hardware, ...overheard(hardware, tell), ...this.#senses(hardware) });
  }

  tick(): boolean {
    this.#called('tick');
    return this.#firmware.tick();
  }

  receive(input: LinkInput): void {
    this.#called(input);
    this.#firmware.receive(input);
  }

  dispose(): void {
    this.#firmware.dispose();
  }

  #called(call: 'start' | 'tick' | LinkInput): void {
    const hardware = this.#hardware;
    if (hardware) for (const listener of this.#listeners) listener.called?.(call, hardware);
  }

  #senses(hardware: LampHardware): Pick<LampHardware, Reading | 'convert'> {
    const tell = (what: Reading, value: number): void => {
      for (const listener of this.#listeners) listener.read?.(what, value);
    };
    const read = (what: Sense) => (): number => {
      const value = hardware[what]();
      tell(what, value);
      return value;
    };
    return {
      convert: (input) => {
        const code = hardware.convert(input);
        for (const listener of this.#listeners) listener.converted?.(input, code);
        return code;
      },
      memoryBusy: () => {
        const busy = hardware.memoryBusy();
        tell('memoryBusy', Number(busy));
        return busy;
      },
      restartCause: () => {
        const cause = hardware.restartCause();
        tell('restartCause', restartCauses.indexOf(cause));
        return cause;
      },
      supplyVoltage: read('supplyVoltage'),
      supplyPower: read('supplyPower'),
      suppliedEnergy: read('suppliedEnergy'),
      temperature: read('temperature'),
    };
  }
}

/** Told first, then done. */
function overheard(hardware: LampHardware, tell: (told: Told) => void): Partial<LampHardware> {
  return {
    setModulator: (channel, setup) => {
      tell({ kind: 'modulator', channel, setup });
      hardware.setModulator(channel, setup);
    },
    setDrive: (channel, value) => {
      tell({ kind: 'drive', channel, value });
      hardware.setDrive(channel, value);
    },
    setPeakCurrent: (channel, amps) => {
      tell({ kind: 'peak-current', channel, amps });
      hardware.setPeakCurrent(channel, amps);
    },
    setOffTime: (channel, seconds) => {
      tell({ kind: 'off-time', channel, seconds });
      hardware.setOffTime(channel, seconds);
    },
    sendByte: (link, byte) => {
      tell({ kind: 'byte', link, byte });
      hardware.sendByte(link, byte);
    },
    setBusy: (high) => {
      tell({ kind: 'busy', high });
      hardware.setBusy(high);
    },
    wroteMemory: (address) => {
      const value = address === undefined ? undefined : hardware.memory[address];
      if (address !== undefined && value !== undefined) tell({ kind: 'memory', address, value });
      hardware.wroteMemory(address);
    },
    log: (text) => {
      tell({ kind: 'log', text });
      hardware.log(text);
    },
    probe: (name, unit, value) => {
      tell({ kind: 'probe', name, unit, value });
      hardware.probe(name, unit, value);
    },
  };
}
