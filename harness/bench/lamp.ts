import type { DimmingCurve } from '../measure/observation.ts';

/** The device under test, as its lamp file describes it (`*.lamp.yaml`). All figures SI. */
export interface Lamp {
  readonly lamp: string;
  readonly maker: string;
  readonly about: string;
  readonly channels: readonly LampChannel[];
  readonly curve: DimmingCurve;
  /** Named mixes that specs may use: channel -> intensity 0..1. `all` exists always: every channel at 1. */
  readonly mixes: Readonly<Record<string, Readonly<Record<string, number>>>>;
  readonly modulation: Modulation;
  /** The output stage, where the lamp file states it; targets for ripple and switching frequency follow from it. */
  readonly stage: Stage;
  readonly supply: LampSupply;
  readonly links: LampLinks;
  /** Air in which the lamp may be operated, °C; absent where its file does not say. */
  readonly ambient?: { readonly lowest: number; readonly highest: number };
  /** What runs firmware in the simulated lamp; absent where its file does not say. */
  readonly processor?: LampProcessor;
  /** The converter at the analogue inputs of its processor in the simulated lamp. */
  readonly adc?: LampAdc;
  /** How its parts scatter in the simulated lamp, relative standard deviation; usual figures where its file does not say. */
  readonly spread?: { readonly forwardVoltage?: number };
  /** Part of each channel's light that comes out in the colour of the next one, in the simulated lamp. */
  readonly crosstalk?: number;
  /** Its non-volatile memory in the simulated lamp; without figures for ever and at once. */
  readonly memory?: LampMemory;
  /** From power to the first light, s. */
  readonly startUp: number;
  /** What it keeps before anybody has told it anything; absent where its file does not say. */
  readonly asDelivered?: AsDelivered;
}

interface LampAdc {
  readonly bits?: number;
  /** Standard deviation of a reading, in steps. */
  readonly noise?: number;
  /** At the call, or in the middle of the last pulse of the PWM. */
  readonly sampling?: 'call' | 'mid-pulse';
}

interface LampMemory {
  /** s that a byte takes. */
  readonly writeTime?: number;
  /** Writes that a cell takes, and those that it has had already. */
  readonly endurance?: number;
  readonly written?: number;
}

interface LampProcessor {
  /** Instructions of WebAssembly a second; firmware takes no time where it is not stated. */
  readonly speed?: number;
  /** Calls take their time in the lamp, and interrupts preempt a main loop. */
  readonly preemptive?: true;
  /** Period of the control tick, s; 1 ms where it is not stated. */
  readonly tick?: number;
  /** From power, or a reset, to the first instruction, s. */
  readonly boot?: number;
  /** Where its microsecond timer stands at power-on, s. */
  readonly timerStart?: number;
  /** Its watchdog restarts it when it was not kicked for so long, s. */
  readonly watchdog?: number;
}

/** A lamp as it leaves its maker. Light is relative, 0..1. */
interface AsDelivered {
  /** The level that counts as its last one, and the mix by name; `all` is every channel at full. */
  readonly level: number;
  readonly mix: string;
  /** What it shows when its power returns: the last level, or this one. */
  readonly powerOn: 'last' | number;
  /** What it shows when its DALI bus fails: no change, or this level. */
  readonly systemFailure: 'hold' | number;
}

export interface LampChannel {
  readonly channel: string;
  readonly lumen: number;
  readonly xy: readonly [number, number];
  /** LED current while on at 100 %, A. */
  readonly maxCurrent: number;
  /** Forward voltage at maxCurrent, V. */
  readonly forwardVoltage: number;
}

type Modulation =
  | { readonly kind: 'pulse-density'; readonly bits: number; readonly clock: number }
  | {
      readonly kind: 'pwm';
      readonly bits: number;
      readonly frequency: number;
      /** Phase shift between neighbouring channels, 0..1 of a period. */
      readonly phaseShift: number;
    }
  | { readonly kind: 'analogue'; readonly bits: number };

export type Stage =
  | {
      readonly kind: 'linear';
      readonly riseTime: number;
      readonly fallTime: number;
      /** s by which the gate driver shortens every pulse; none where its file does not say. */
      readonly deadTime?: number;
    }
  | {
      readonly kind: 'fixed-off-time';
      readonly supplyVoltage: number;
      readonly inductance: number;
      readonly offTime: number;
      readonly comparatorDelay: number;
      readonly minimumOnTime: number;
      readonly diodeDrop: number;
      readonly riseTime: number;
      readonly fallTime: number;
      readonly deadTime?: number;
    };

/** What the input stage is made of. */
interface LampInput {
  /** W that the lamp draws when it is off. */
  readonly standby: number;
  /** F that are charged at power-on. */
  readonly inputCapacitance: number;
  /** Ω that limit the current meanwhile. */
  readonly inrushResistance: number;
  /** Ripple of the lamp's rail at twice the mains frequency, peak over mean; small where its file does not say. */
  readonly ripple?: number;
  /** s for which the processor runs on without supply; not at all where its file does not say. */
  readonly holdUp?: number;
}

type LampSupply = LampInput &
  (
    | { readonly kind: 'dc'; readonly nominal: number; readonly low: number; readonly high: number }
    | {
        readonly kind: 'mains';
        readonly nominal: number;
        readonly low: number;
        readonly high: number;
        readonly frequency: number;
        readonly powerFactorCorrection: 'good' | 'poor';
      }
  );

export interface LampLinks {
  readonly console?: ConsoleLink;
  readonly dali?: DaliGear;
  readonly dmx?: SlotLink & {
    /** It speaks RDM (ANSI E1.20) on the line. */
    readonly rdm?: true;
  };
  readonly sacn?: SlotLink & { readonly universe: number };
}

interface DaliGear {
  readonly shortAddress: number;
  readonly group?: number;
  /** Colour temperatures that it mixes by itself (device type 8, IEC 62386-209), K; absent where it does not. */
  readonly tunableWhite?: { readonly warmest: number; readonly coolest: number };
  /** Channels that are its red, green, blue, white, amber and free colour, in this order; absent where it has no such. */
  readonly rgbwaf?: readonly string[];
  /** Memory banks beside 0 that it has with the contents of IEC 62386-251 to -253; absent where it has none. */
  readonly banks?: readonly number[];
  /** What stands in banks 1 and 207. */
  readonly luminaire?: LuminaireData;
}

/** What the maker of the luminaire says of it. SI. */
interface LuminaireData {
  readonly inputPower: number;
  readonly minimumPower: number;
  readonly light: number;
  readonly cri: number;
  readonly cct: number;
  /** s */
  readonly life: number;
  readonly starts: number;
}

export interface ConsoleLink {
  readonly baud: number;
  /** Templates: {level} and {intensities} in per cent, {milliseconds}; see specs/README.md. */
  readonly set: string;
  readonly fade: string;
  readonly off: string;
  readonly reset: string;
  readonly identify: string;
  /** Line that asks how warm its board is; answered with a figure in °C. Absent where the lamp cannot say. */
  readonly temperature?: string;
  /** Line that answers a command which was understood. */
  readonly ok: string;
  /** Other lines that it answers with, by name, `{number}` where a figure stands. */
  readonly answers?: Readonly<Record<string, string>>;
}

/** Slots of a universe (ANSI E1.11, confirmed in public texts). */
export const mostSlots = 512;

export interface SlotLink {
  /** Slot of the dim level, then one slot (8 bit) or two (16 bit, coarse first) a channel. */
  readonly firstSlot: number;
  readonly bits: 8 | 16;
  /** What the lamp does a while after the signal is lost. */
  readonly onLoss: 'hold' | 'off';
}

/** How many slots the lamp reads: level, then the channels. */
export function slotCount({ bits }: Pick<SlotLink, 'bits'>, channels: number): number {
  return (1 + channels) * (bits / 8);
}
