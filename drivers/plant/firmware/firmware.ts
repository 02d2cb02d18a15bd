import type { Board } from './board.ts';

/**
 * The wall between firmware and simulated hardware. The reference firmware (TypeScript) and the user's firmware
 * (WebAssembly, through lamp-port.h) both stand behind it; the header has the same calls under the same names.
 */
export interface Firmware {
  readonly name: string;
  /** `reference` or `wasm`. */
  readonly kind: string;
  /** It does the sACN protocol by itself and wants every datagram; the others get the slots, as DMX512 frames. */
  readonly takesDatagrams?: boolean;
  /** sha256 of the binary, hex; null for the built-in one. */
  readonly digest: string | null;
  /** Where interrupts preempt a main loop of its own; absent where calls take no time. */
  readonly mainLoop?: MainLoop;
  /** Power-up or reset. Called once before the first tick, and again after each reset. Time goes on. */
  start(hardware: LampHardware): void;
  /** The control tick, every `hardware.tickPeriod` seconds. Returns true when nothing will change without a new byte, a reset, or another reading of supply voltage, power or temperature (the simulation may then skip ticks). */
  tick(): boolean;
  /** One received byte of the console or of a DMX frame, or one whole DALI frame. */
  receive(link: LinkInput): void;
  dispose(): void;
}

/** Work between the interrupts, which takes time and can be interrupted. */
export interface MainLoop {
  /** It has something to do: it is not in its wait. */
  readonly works: boolean;
  /** It waits and has said that nothing will change, as `tick` says it. */
  readonly idle: boolean;
  /** It has disabled interrupts. */
  readonly masked: boolean;
  /** An interrupt has come while they were disabled; it wakes the main loop, and is served when they are enabled. */
  pend(): void;
  /** Goes on, until it waits or has carried out about so many instructions, at least 1. */
  work(instructions: number): void;
  /** While it works: goes no further than to the next place where it can be left. */
  pauseSoon(): void;
}

export type LinkInput =
  | {
      readonly link: 'console';
      readonly byte: number;
      /** The byte's stop bit was not there. */
      readonly framingError?: boolean;
    }
  /** Two or three bytes, most significant first. The firmware's own timer tells when it came. */
  | { readonly link: 'dali'; readonly frame: readonly number[] }
  /** The supply is gone: the processor runs on for the hold-up time. */
  | { readonly link: 'supply'; readonly event: 'fail' }
  /** The bus lost its power, or has it again. */
  | { readonly link: 'dali'; readonly event: 'bus'; readonly powered: boolean }
  /** `break` starts a frame; then the start code and the slots follow byte by byte. */
  | {
      readonly link: 'dmx';
      readonly event: 'break';
      /** How long it was low, and the mark behind it will last, s; as senders usually make them where absent. */
      readonly low?: number;
      readonly mark?: number;
      /** The frame is one of the network interface in front of the lamp. */
      readonly network?: boolean;
    }
  | {
      readonly link: 'dmx';
      readonly event: 'byte';
      readonly byte: number;
      /** As of the console; a break has one by its nature, and is told as such. */
      readonly framingError?: boolean;
      /** As of its break. */
      readonly network?: boolean;
    }
  /** A datagram has come to the lamp's sACN port, whatever is in it. */
  | { readonly link: 'sacn'; readonly datagram: Uint8Array }
  /** The network interface in front of the lamp has no source left. */
  | { readonly link: 'dmx'; readonly event: 'lost' };

export interface LampHardware extends Board {
  readonly channels: number;
  /** s */
  readonly tickPeriod: number;
  /** Seconds since power-up of the simulated lamp; goes on over a reset. */
  now(): number;
  setModulator(channel: number, setup: ModulatorSetup): void;
  /** Density (pulse density), compare value (PWM) or code (analogue): 0..2^bits, 2^bits is fully on. */
  setDrive(channel: number, value: number): void;
  /** A. The comparator threshold of the stage (linear sink: the current while on). */
  setPeakCurrent(channel: number, amps: number): void;
  /** s. Fixed off-time of the stage. */
  setOffTime(channel: number, seconds: number): void;
  sendByte(link: 'console' | 'dali' | 'dmx', byte: number): void;
  /** V */
  supplyVoltage(): number;
  /** W that the lamp takes, and J that it has taken, by the meter in its input stage. */
  supplyPower(): number;
  suppliedEnergy(): number;
  /** degrees Celsius, on the LED board */
  temperature(): number;
  /** Code of an analogue input, as lamp-port.h numbers them; 0 of one that is not connected. */
  convert(input: number): number;
  /** The busy pin: high while the application works. It changes when the processor gets there, see `charge`. */
  setBusy(high: boolean): void;
  /**
   * The processor has carried out so many instructions since the call began, or since the last charge. They take the time
   * that the lamp file says, and move the busy pin alone: light and answers come at the instant of the call.
   */
  charge(instructions: number): void;
  /** Non-volatile memory, 256 bytes, kept over reset and power loss. */
  readonly memory: Uint8Array;
  /** A line for whoever looks for a fault, UTF-8 as far as the firmware made it so. */
  log(text: Uint8Array): void;
  /** A variable of the firmware has this value from now on. */
  probe(name: string, unit: string, value: number): void;
  /** It has been written, at `address` or wherever it is another one now: a pin shows it. */
  wroteMemory(address?: number): void;
  /** It is still being written. */
  memoryBusy(): boolean;
}

export type ModulatorSetup =
  /** First-order accumulator with carry, `bits` wide, clocked at `clock` Hz. */
  | { readonly kind: 'pulse-density'; readonly bits: number; readonly clock: number }
  /** Counter of `bits` at 2^bits * frequency; `phase` 0..1 of a period. */
  | {
      readonly kind: 'pwm';
      readonly bits: number;
      readonly frequency: number;
      readonly phase: number;
    }
  /** Current set by a converter of `bits`; no modulation. */
  | { readonly kind: 'analogue'; readonly bits: number };
