import type { Signal, WaveformSignal } from '../measure/signals.ts';
import type { Step } from './verbs/verbs.ts';

/** A spec file that was read without issues: one claim, in SI, its values substituted in every condition. */
export interface Plan {
  readonly spec: string;
  readonly claim: string;
  /** Path as given, and the folder that groups it on the page (`fading`). */
  readonly file: string;
  readonly folder: string;
  /** sha256 of the file's bytes; filled in by whoever read the file. */
  readonly digest: string;
  readonly traces: readonly string[];
  readonly tags: readonly string[];
  readonly needs: Needs;
  readonly repeat: number;
  /** One entry per point of the matrix, in file order. A spec without conditions has one, with no values. */
  readonly conditions: readonly Condition[];
}

/** What the lamp must have for the claim to make sense. Unmet: `not run`, with the reason. */
export interface Needs {
  readonly channels?: number;
  readonly links?: readonly string[];
  /** One of these is enough. */
  readonly 'any-link'?: readonly string[];
  /** What the lamp file says of a lost signal of `links`; of DMX and sACN where none of them is named. */
  readonly 'on-loss'?: 'hold' | 'off';
  /** Of a value, on DMX512 or sACN. */
  readonly 'slot-bits'?: 8 | 16;
  /** What the lamp file says of returning power: a level of its own would hide what was there before. */
  readonly 'power-on'?: 'last';
  readonly supply?: 'dc' | 'mains';
  readonly stage?: 'linear' | 'fixed-off-time';
  readonly modulation?: 'pulse-density' | 'pwm' | 'analogue';
  /** The lamp mixes colour temperatures by itself, over DALI. */
  readonly 'tunable-white'?: true;
  /** Every channel is a primary of colour control gear, so that mixes go over DALI. */
  readonly primaries?: true;
  /** Memory banks that tell of the lamp. */
  readonly banks?: readonly number[];
  /** The lamp speaks RDM on its DMX512 line. */
  readonly rdm?: true;
  /** It takes weeks, and is for the simulated lamp alone. */
  readonly simulated?: true;
  /** Mixes that the lamp file must name. */
  readonly mixes?: readonly string[];
}

/** One point of the matrix with every `$name` substituted and every quantity in SI. */
export interface Condition {
  /** Stable, e.g. `fade-time=2 s, supply=48 V`; empty for the only condition. */
  readonly key: string;
  readonly values: Readonly<Record<string, string>>;
  /** What the air about the lamp is to have; that of the rig where it is absent. */
  readonly ambient?: AmbientRequest;
  readonly stimulus: readonly Step[];
  readonly captures: readonly CaptureRequest[];
  /** Variables of the firmware that are recorded, by their names; absent where none is. */
  readonly probes?: readonly string[];
  readonly criteria: readonly Criterion[];
}

/** The air about the lamp, as a spec asks for it. */
export interface AmbientRequest {
  /** °C */
  readonly celsius: number;
  /** The air has to be within the rig's limits for so long before, s; the rig's own time where it is longer, or this is absent. */
  readonly soak?: number;
  /** It may differ by this, K; what the rig file says where that is less, or this is absent. */
  readonly within?: number;
}

/** What a capture of a variable of the firmware is called in a spec. */
export const probeSignal = 'probe';

/** What a spec asks to be recorded. */
export type CaptureRequest = WaveformRequest | ColourRequest | FrameRequest;

interface Requested {
  /** `light`, `each-channel`, or one channel. */
  readonly of: string;
  /** Mark that the record begins and ends at; the whole condition when absent. */
  readonly during?: string;
}

interface WaveformRequest extends Requested {
  readonly signal: WaveformSignal;
  /** Sampling rate, Hz. */
  readonly rate: number;
}

interface ColourRequest extends Requested {
  readonly signal: 'colour';
  /** Integration time of a reading, s. */
  readonly integration: number;
  /** Time from reading to reading, s; the integration time when absent. */
  readonly every?: number;
}

interface FrameRequest extends Requested {
  readonly signal: 'frame';
  /** Exposure time, s. */
  readonly exposure: number;
  /** Frames per second, Hz. */
  readonly frameRate: number;
}

export interface Criterion {
  readonly metric: string;
  /** `each-channel`, one channel, `light`, or `lamp`. */
  readonly of: string;
  readonly signal?: Signal;
  /** Mark that opens the window; it lasts to the next mark or the end. The whole condition when absent. */
  readonly during?: string;
  /** Mark that opens the reference window. */
  readonly reference?: string;
  readonly parameters: Readonly<Record<string, number | string>>;
  readonly limits: LimitsSource;
  /** Position in the file, for messages and the editor link. */
  readonly line: number;
}

/** The tolerance as written; `target` may be a figure that the engine derives from the lamp file. */
export type LimitsSource =
  | {
      readonly lower: number | null;
      readonly upper: number | null;
      readonly target: number | null;
      readonly text: string;
    }
  | {
      /** E.g. `stage.ripple`, `stage.mean-current`, `stage.switching-frequency`, `stage.off-time`. */
      readonly derived: string;
      /** Relative or absolute half-width about the derived target. */
      readonly relative: number | null;
      readonly absolute: number | null;
      readonly text: string;
    };
