import type { Lamp } from '../bench/lamp.ts';
import type { Allowances } from './allowances.ts';
import type { Band } from './band.ts';
import type { Piece } from './course.ts';
import type { Gear, GearSettings } from './dali/gear.ts';
import type { SacnMemory } from './slots/sacn-memory.ts';
import type { SlotMemory } from './slots/slot-memory.ts';

/** What the lamp shows when its power returns, and keeps by itself. */
export interface Remembered {
  /** Relative light. */
  readonly level: Band;
  readonly mix: readonly Band[];
  readonly at: number;
}

/**
 * What the lamp does with slots that end within its own, by DMX512 and by sACN: it takes those that came, leaves them, or does not even count
 * them as a signal; null until it matters.
 */
export interface ShortFrames {
  readonly dmx: 'taken' | 'left' | 'unheard' | null;
  readonly sacn: 'taken' | 'left' | 'unheard' | null;
}

export const noShortFrames: ShortFrames = { dmx: null, sacn: null };

/** One course of things that agrees with all that was heard. Never changed: each event makes new ones. */
export interface World {
  readonly light: Piece;
  /** Intensity of each channel, 0..1, at which the light arrives. */
  readonly mix: readonly Band[];
  /** What the mix may be while a fade changes it; null where none does. */
  readonly mixOnWay: readonly Band[] | null;
  readonly remembered: Remembered;
  /** What it remembered before, where power may go sooner than the newer is stored. */
  readonly before: Remembered;
  readonly gear: Gear;
  readonly settingsBefore: { readonly settings: GearSettings; readonly until: number };
  /** The lamp as it was before its bus failed: a bus that returns until then may not have failed. */
  readonly beforeFailure: {
    readonly world: World;
    readonly until: number;
    /** Index of the event that the failure followed. */
    readonly by: number;
  } | null;
  readonly slots: SlotMemory;
  readonly sacn: SacnMemory;
  readonly power: Power;
  /** Whether slots that say the same again count as a command; null until it matters. */
  readonly repeatsCount: boolean | null;
  /** The stream whose slots may count as a command when they come again, since the other one went; null where none went. */
  readonly retold: 'dmx' | 'sacn' | null;
  readonly shortFrames: ShortFrames;
  /** The lamp may still go dark for want of a signal; null where it cannot. */
  readonly pendingLoss: PendingLoss | null;
  /** Bytes of a console line that has not ended. */
  readonly consoleRest: string;
  /** Why its supply, or the air about it, may leave it with less light than it was told. */
  readonly strain: string | null;
  readonly heat: string | null;
  /** Why nothing is known of the light, of the gear. */
  readonly lost: string | null;
  readonly gearLost: string | null;
  /** Why nothing is known of what the streams say, which may move the light at any instant. */
  readonly streamsLost: string | null;
  /** Why the light is not what commands say, for as long as nothing undoes it. */
  readonly altered: string | null;
  /** Why there is another world beside this one; null where there is none. */
  readonly doubt: string | null;
}

/** A loss of the signal that the lamp notices until then, s. */
export interface PendingLoss {
  readonly link: 'dmx' | 'sacn';
  readonly until: number;
  /** Index of the event that it follows. */
  readonly by: number;
}

interface Power {
  readonly volts: number;
  /** When it fell below the lowest, s; null where it did not. */
  readonly lostAt: number | null;
  /** Commands before that instant may find nobody, or be obeyed late, s. */
  readonly deafUntil: number;
  /** What was under way when the power went: it may survive a short gap. */
  readonly interrupted: World | null;
}

/** An instant of the story. */
export interface Moment {
  readonly lamp: Lamp;
  readonly allowances: Allowances;
  readonly at: number;
  /** Index of the event. */
  readonly of: number;
}

/** What the lamp may say; several are several possibilities. */
export type PossibleAnswer =
  | 'silence'
  /** Any byte or line, or none. */
  | 'any'
  /** A line, or lines, other than the one that confirms. */
  | 'other-line'
  /** Any byte, but one. */
  | 'some-byte'
  | { readonly byte: number }
  | { readonly line: string };

/** A world after an event, and what the lamp answers in it. */
export interface Reaction {
  readonly world: World;
  readonly answers?: readonly PossibleAnswer[];
}
