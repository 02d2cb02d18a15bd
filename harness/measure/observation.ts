import type { ModelledLamp } from './modelled-lamp.ts';
import type { Signal } from './signals.ts';
import type { Sampling, Waveform } from './waveform.ts';

/** All that a metric may look at: records of one condition, and what was commanded meanwhile. */
export interface Observation {
  /** A channel's name, or `light`, or `lamp` for a metric over all channels. */
  readonly of: string;
  /** The window that the criterion speaks of, on the condition's time line, s. */
  readonly window: Window;
  /** The window of the reference (full light, say), where the criterion names one. */
  readonly reference?: Window;
  readonly records: readonly SignalRecord[];
  readonly colour: readonly ColourReading[];
  readonly frames: readonly Frame[];
  readonly commanded: Commanded;
  /** What the lamp said of itself, in order of time; absent where it was not asked. */
  readonly selfReports?: readonly SelfReport[];
  /** Variables of the firmware that were asked for; absent where none was. */
  readonly probes?: readonly ProbeTrack[];
  /** What a sound lamp may do with all that was sent to it; absent where nobody asked, or nothing tells what was sent. */
  readonly modelled?: ModelledLamp;
  /** Values of the metric's parameters, SI numbers or words; every parameter is present. */
  readonly parameters: Readonly<Record<string, number | string>>;
}

/** A variable of the firmware: it has each of `values` from the instant in `at` (s) until the next one. */
export interface ProbeTrack {
  readonly name: string;
  /** As the firmware writes it; empty for a bare number. */
  readonly unit: string;
  readonly at: readonly number[];
  readonly values: readonly number[];
  /** A change is told so much later than it was, at most, s; absent where the instants are those of the firmware. */
  readonly late?: number;
  /** Changes from this instant on were not kept, s; null where all were. */
  readonly until: number | null;
  /** Why there is nothing of it, in a clause; absent where there is. */
  readonly missing?: string;
}

/** What the lamp said of itself: SI, its step, and between which instants it held, s. */
export interface SelfReport {
  readonly property: string;
  readonly value: number;
  readonly resolution: number;
  readonly from: number;
  readonly to: number;
}

export interface Window {
  readonly from: number;
  readonly to: number;
}

/** Name of the capture that a record came from: unique within its condition, and the same in every run of the spec. */
export type CaptureId = string;

/** A waveform, the capture that it came from, and what it is of. */
export interface SignalRecord {
  readonly capture: CaptureId;
  readonly signal: Signal;
  /** A channel's name, or the signal's own name where there is one only. */
  readonly of: string;
  /** What may be looked at to choose a record or to refuse it. Whoever takes `waveform` has read the record. */
  readonly sampling: Sampling;
  readonly waveform: Waveform;
}

/** One reading of a tristimulus sensor. */
export interface SensorReading {
  /** Middle of the integration time on the condition's time line, s. */
  readonly at: number;
  /** Integration time, s. */
  readonly integration: number;
  /** CIE 1931 tristimulus values; Y in lx. */
  readonly X: number;
  readonly Y: number;
  readonly Z: number;
  readonly state: 'good' | 'saturated' | 'under-range';
  /** Standard uncertainty of x and y each, where the sensor states it. */
  readonly standardXy?: number;
}

/** A sensor's reading, the capture that it belongs to, and what it is of. */
export interface ColourReading extends SensorReading {
  readonly capture: CaptureId;
  /** `lamp`, or the channel lit alone. */
  readonly of: string;
}

/** A rolling-shutter frame: one mean value per row, dark subtracted, linear. */
export interface CameraFrame {
  readonly at: number;
  readonly rows: Float64Array;
  /** Time between the start of two rows, s. */
  readonly lineTime: number;
  /** Exposure time of each row, s. */
  readonly exposure: number;
  readonly saturated: boolean;
}

/** A camera's frame and the capture that it is. */
export interface Frame extends CameraFrame {
  readonly capture: CaptureId;
}

/** What the light ought to do: per channel, relative to the channel's full light. */
export interface Commanded {
  readonly channels: readonly CommandedChannel[];
  readonly marks: readonly { readonly name: string; readonly at: number }[];
  /** Duration of the condition, s. */
  readonly duration: number;
  /** The lamp's dimming curve: bottom (relative light of the lowest level) and kind. */
  readonly curve: DimmingCurve;
  /** Standard uncertainty of the instants at which commands took effect, on the records' time, s; absent where they are known. */
  readonly standardInstant?: number;
  /** From when to when the supply was told of each change, s: the light may have changed anywhere in between. */
  readonly supplyChanges?: readonly Window[];
}

export interface DimmingCurve {
  readonly kind: 'logarithmic' | 'linear';
  /** Relative light at the lowest level, e.g. 0.001. */
  readonly bottom: number;
}

export interface CommandedChannel {
  readonly channel: string;
  /** Nominal full light of the channel, lm. */
  readonly lumen: number;
  /** Nominal chromaticity, CIE 1931 2 degree. */
  readonly xy: readonly [number, number];
  /** Nominal LED current while on, A. */
  readonly maxCurrent: number;
  /** Segments in order, without gaps, from 0 to the end of the condition. */
  readonly segments: readonly Segment[];
}

/** Straight in the dimming-curve domain (exponential in light on a logarithmic curve). */
export interface Segment {
  readonly from: number;
  readonly to: number;
  /** Relative light at both ends, 0..1 of the channel's full light. */
  readonly startLevel: number;
  readonly endLevel: number;
}
