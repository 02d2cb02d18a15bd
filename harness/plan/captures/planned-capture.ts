import type { Wire } from '../../bench/rig.ts';
import type { CaptureId, Window } from '../../measure/observation.ts';
import type { WaveformSignal } from '../../measure/signals.ts';

/** A record, a series of colour readings or a frame that will be taken in a condition. */
export type PlannedCapture = PlannedWaveform | PlannedColour | PlannedFrame;

/**
 * With every other capture of the condition (`at-once`), in one of several passes through the stimulus since an input or a
 * digitiser is shared (`multiplexed`), or in a pass in which its channel alone is lit (`solo`).
 */
export type Taken = 'at-once' | 'multiplexed' | 'solo';

/** No claim asked for it: it was recorded beside the others as evidence of what the bench did. */
export type Alongside = 'alongside';

/** What all captures have in common. */
export interface Planned {
  /** Unique within the condition and the same in every run of the spec: preflight, engine, judge and reports go by it. */
  readonly id: CaptureId;
  /** Channel, or the signal's own name. */
  readonly of: string;
  /** Mark that opens the window; null for the whole condition. */
  readonly during: string | null;
  /** When it is taken, as planned, s from the start of the condition. */
  readonly window: Window;
  readonly wire: Wire;
  readonly taken: Taken;
  /** Which time through the stimulus, counted from 0. */
  readonly pass: number;
}

export interface PlannedWaveform extends Planned {
  readonly kind: 'waveform';
  readonly signal: WaveformSignal;
  /** Sampling rate, Hz. */
  readonly rate: number;
  /** Name of its file inside `captures/`. */
  readonly file: string;
}

/** Its readings are kept in the record itself. */
export interface PlannedColour extends Planned {
  readonly kind: 'colour';
  readonly signal: 'colour';
  /** Integration time, and time from reading to reading, s. */
  readonly integration: number;
  readonly every: number;
}

export interface PlannedFrame extends Planned {
  readonly kind: 'frame';
  readonly signal: 'frame';
  /** Exposure time, s. */
  readonly exposure: number;
  /** Frames per second, Hz. */
  readonly frameRate: number;
  /** Name of its file inside `captures/`. */
  readonly file: string;
}
