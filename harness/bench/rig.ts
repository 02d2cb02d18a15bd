import type { Signal } from '../measure/signals.ts';
import type { UnitSymbol } from '../units/unit.ts';

/** Instruments, wiring, calibration, safe state (`*.rig.yaml`). All figures SI. */
export interface Rig {
  readonly rig: string;
  readonly about: string;
  /** Site and organisation, printed in reports (ISO/IEC 17025:2017 7.8.2.1 b, c). */
  readonly place: string;
  readonly instruments: readonly RigInstrument[];
  readonly wiring: readonly Wire[];
  /** Instrument that carries the lamp's commands, by link name. */
  readonly links: Readonly<Record<string, string>>;
  readonly supply?: {
    readonly instrument: string;
    readonly highestVolts: number;
    readonly highestAmps: number;
  };
  readonly safe: SafeState;
  readonly decision: DecisionRule;
  readonly calibrationPolicy: 'warn' | 'refuse';
  readonly warmUp: number;
  readonly ambient: number;
}

export interface DecisionRule {
  readonly rule: 'simple' | 'guarded';
  readonly coverageFactor: number;
}

export interface RigInstrument {
  readonly name: string;
  readonly driver: string;
  /** Expected identity; each given field must match. */
  readonly identity: Readonly<Partial<Record<'maker' | 'model' | 'serial' | 'firmware', string>>>;
  /** Everything else is the driver's own; its schema checks it. */
  readonly settings: Readonly<Record<string, unknown>>;
  readonly calibration?: Calibration;
  /** Seconds of wall clock that one call may take. */
  readonly deadline: number;
  readonly retries: number;
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
  /** -3 dB bandwidth, Hz. */
  readonly bandwidth: number;
  /** Anti-alias filter ahead of the converter, Hz; absent when there is none. */
  readonly antiAlias?: number;
  readonly bits: number;
  /** Full scale in `unit`. */
  readonly fullScale: number;
}

export interface SafeState {
  readonly lamp: 'off';
  readonly supply: 'off' | 'leave';
  /** Seconds of wall clock in which the safe state has to be confirmed. */
  readonly within: number;
}
