import type { Signal } from '../measure/signals.ts';
import type { UnitSymbol } from '../units/unit.ts';
import type { After } from './after-schema.ts';
import type { Before } from './before-schema.ts';
import type { DarkRecord } from './dark-record.ts';
import type { PrepareStep } from './prepare-schema.ts';

/**
 * Instruments, wiring, calibration, safe state (`*.rig.yaml`). All figures SI. `Settings`: what the drivers' own schemas
 * made of their settings, which is of no concern to anyone but the drivers.
 */
export interface Rig<Settings = unknown> {
  readonly rig: string;
  readonly about: string;
  /** Site and organisation, printed in reports (ISO/IEC 17025:2017 7.8.2.1 b, c). */
  readonly place: string;
  readonly instruments: readonly RigInstrument<Settings>[];
  readonly wiring: readonly Wire[];
  /** Instrument that carries the lamp's commands, by link name. */
  readonly links: Readonly<Record<string, string>>;
  readonly supply?: {
    readonly instrument: string;
    readonly highestVolts: number;
    readonly highestAmps: number;
  };
  /** A relay or smart switch between supply and lamp: what switches the lamp on and off, in place of the supply's output. */
  readonly switch?: RigSwitch;
  /** What conditions the air about the lamp. */
  readonly chamber?: RigChamber;
  /** How much later than the engine takes it a command shows in a record, as it was found; absent where nobody has looked. */
  readonly timing?: readonly LinkTiming[];
  readonly safe: SafeState;
  readonly decision: DecisionRule;
  readonly calibrationPolicy: 'warn' | 'refuse';
  readonly warmUp: number;
  /** What programs do to the lamp before a run, in this order. */
  readonly prepare?: readonly PrepareStep[];
  /** What is looked at before the first claim. */
  readonly before?: Before;
  /** What is looked at after the last claim. */
  readonly after?: After;
  readonly ambient: number;
}

interface RigSwitch {
  readonly instrument: string;
  /** A lamp without power answers no more after this, s; null where something else feeds its processor. */
  readonly livesOn: number | null;
}

/** °C */
export interface ChamberLimits {
  readonly lowest: number;
  readonly highest: number;
}

export interface RigChamber extends ChamberLimits {
  readonly instrument: string;
  /** A thermometer beside the lamp, the second witness of the air. */
  readonly probe?: string;
  /** The air may differ from what was asked for by this, K. */
  readonly within: number;
  /** The air has been within that for so long before a condition begins, s; a spec may ask for longer. */
  readonly soak: number;
  /** Longest time in which the air has to come there, s. */
  readonly patience: number;
  /** A lamp without power has the temperature of the air within this, K; what it says of itself is held against it. */
  readonly lampWithin: number;
}

/** What commands on a link are late by in the records of a digitiser, s. */
export interface LinkTiming {
  readonly link: string;
  readonly digitiser: string;
  /** By the lamp's sync pin, or by its light. */
  readonly seen: 'sync' | 'light';
  /** From the instant that the engine takes a command to have had (half way to its confirmation). */
  readonly delay: number;
  /** Standard deviation of one command's delay, k = 1. */
  readonly scatter: number;
  /** Mean time to the confirmation; 0 where a link has none. */
  readonly exchange: number;
  readonly edges: number;
  /** YYYY-MM-DD */
  readonly date: string;
}

interface DecisionRule {
  readonly rule: 'simple' | 'guarded';
  readonly coverageFactor: number;
}

export interface RigInstrument<Settings = unknown> {
  readonly name: string;
  readonly driver: string;
  /** Expected identity; each given field must match. */
  readonly identity: Readonly<Partial<Record<'maker' | 'model' | 'serial' | 'firmware', string>>>;
  readonly limits: RecordLimits;
  /**
   * Parsed by the schema of `driver` when the rig file was read; as written in the file where the driver is a module of
   * the user's, which parses them itself.
   */
  readonly settings: Settings;
  readonly calibration?: Calibration;
  /** Seconds of wall clock that one call may take. */
  readonly deadline: number;
  readonly retries: number;
}

/** What an instrument can record, as far as the rig file says; an opened digitiser may know more. */
interface RecordLimits {
  /** Highest sampling rate per input, Hz. */
  readonly highestRate?: number | undefined;
  /** Longest record at any rate, s. */
  readonly longestRecord?: number | undefined;
  /** Samples per input that it can keep. */
  readonly memory?: number | undefined;
  /** It has to finish a record before it can begin the next one. */
  readonly oneRecord?: boolean | undefined;
  /** `integrating` averages over the sample interval; `point` samples an instant and may alias. */
  readonly acquisition?: 'integrating' | 'point' | undefined;
}

/** Wall-clock facts about an instrument's calibration; copied into the record. */
export interface Calibration {
  readonly date: string;
  readonly due: string;
  readonly certificate: string;
  /** Relative standard uncertainty of the time base (k = 1). */
  readonly timeBase: number;
}

/** One signal's way to one input, and how volts become light or amperes. */
export interface Wire {
  readonly signal: Signal;
  /** Channel, `all` (one sensor sees the mix), or `each` for an instrument with one input per channel. */
  readonly of: string;
  readonly instrument: string;
  readonly input: string;
  /** value in `unit` = (volts - offset) * scale */
  readonly scale: number;
  readonly offset: number;
  readonly unit: UnitSymbol;
  /** Standard uncertainties, k = 1: scale relative, offset and noise in `unit`. */
  readonly standardScale: number;
  readonly standardOffset: number;
  /** rms noise of one sample at the input, in `unit`. */
  readonly noise: number;
  /** What the dark wiring records; absent where nobody has recorded it. */
  readonly dark?: DarkRecord;
  /** -3 dB bandwidth, Hz. */
  readonly bandwidth: number;
  /** Anti-alias filter ahead of the converter, Hz; absent when there is none. */
  readonly antiAlias?: number;
  readonly bits: number;
  /** Full scale in `unit`. */
  readonly fullScale: number;
  /** Of the sensor with all that is between it and the input; the instrument's own holds where this is absent. */
  readonly calibration?: WireCalibration;
  /** What the light does to the scale beside the certificate: relative standard uncertainties, k = 1. */
  readonly budget?: ScaleBudget;
}

/** A certificate of the whole chain from the light to the converter. */
export type WireCalibration = Pick<Calibration, 'date' | 'due' | 'certificate'>;

type ScaleBudget = Readonly<
  Partial<Record<'spectral-mismatch' | 'linearity' | 'cosine' | 'temperature' | 'drift', number>>
>;

/** Relative standard uncertainty of a scale with all lines of its budget (JCGM 100:2008, 5.1.2: they are independent). */
export function combinedScale({
  standardScale,
  budget = {},
}: Pick<Wire, 'standardScale' | 'budget'>): number {
  return Math.hypot(standardScale, ...Object.values(budget));
}

interface SafeState {
  readonly lamp: 'off';
  readonly supply: 'off' | 'leave';
  /** Seconds of wall clock in which the safe state has to be confirmed. */
  readonly within: number;
}
