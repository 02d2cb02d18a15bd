import type { Band } from '../band.ts';

/** Colour that waits to be activated (IEC 62386-209); null where none does. */
export type PendingColour =
  | { readonly is: 'temperature'; readonly mirek: number }
  /** Intensity of each channel that it names, in the order of the lamp file. */
  | { readonly is: 'primaries' | 'rgbwaf'; readonly intensities: readonly (Band | null)[] }
  /** The lamp file does not say what the lamp makes of it. */
  | { readonly is: 'unknown' };

export interface Scene {
  readonly level: number;
  readonly colour: PendingColour | null;
}

/** What gear keeps without power. Levels are those of the bus, 0..254, 255 is MASK. */
export interface GearSettings {
  /** 0..63; null where it has none. */
  readonly shortAddress: number | null;
  /** Bit n: group n. */
  readonly groups: number;
  readonly min: number;
  readonly max: number;
  readonly powerOnLevel: number;
  readonly systemFailureLevel: number;
  readonly fadeTime: number;
  readonly fadeRate: number;
  readonly extendedFadeTime: number;
  readonly scenes: readonly Scene[];
  /** 24 bits; null where the gear drew it by itself. */
  readonly randomAddress: number | null;
  /** mirek; null where it is the gear's own. */
  readonly coolest: number | null;
  readonly warmest: number | null;
}

/** Of a flag: whether it is set; null where the standard leaves it open. */
export type Flag = boolean | null;

/** What gear forgets without power. */
export interface GearRegisters {
  readonly dtr0: number | null;
  readonly dtr1: number | null;
  readonly dtr2: number | null;
  /** Relative light. */
  readonly lastActive: Band;
  readonly limitError: Flag;
  readonly powerCycleSeen: Flag;
  /** The frame that counts if it comes again, when it came, and the device type that was enabled before it. */
  readonly once: {
    readonly frame: readonly number[];
    readonly at: number;
    readonly deviceType: number | null;
  } | null;
  /** Device type that the next frame is for. */
  readonly deviceType: number | null;
  /** End of the DAPC sequence, s. */
  readonly sequenceUntil: number;
  /** When the commissioning began, s; null where it did not. */
  readonly initialisedAt: number | null;
  readonly withdrawn: Flag;
  /** 24 bits. */
  readonly search: number;
  readonly writeEnabled: Flag;
  /** Lock byte of memory bank 1; null where it is not known. */
  readonly lock: number | null;
  readonly colour: PendingColour | null;
  /** Colour type that the light has; null where a link without colour types set it. */
  readonly active: PendingColour | null;
  /** When the light has that colour, s; null where another command for the light came first. */
  readonly colourArrives: number | null;
  readonly busPowered: boolean;
  /** When the bus lost its power, s, and by which event; null where it has it, or the gear has acted on it. */
  readonly busDown: { readonly at: number; readonly by: number } | null;
  /** The gear may be busy with a RESET until then, s. */
  readonly busyUntil: number;
  /** It may identify itself by its light until then, s. */
  readonly identifyUntil: number;
}

export interface Gear {
  readonly settings: GearSettings;
  readonly registers: GearRegisters;
}
