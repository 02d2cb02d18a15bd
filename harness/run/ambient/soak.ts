import { BenchError } from '../../bench/errors.ts';
import type { Call, Chamber, Clock } from '../../bench/ports.ts';
import { airError } from './air-doubt.ts';
import { type AirTaken, airWords, readAir } from './read-air.ts';
import type { WantedAir } from './wanted-air.ts';

/** What a chamber was told last, and since when its air has been there; null while it is on its way. */
interface Held {
  readonly celsius: number;
  since: number | null;
}

/** By chamber as it was opened: a chamber that was opened again is soaked again, since nobody has looked after it meanwhile. */
const held = new WeakMap<Chamber, Held>();

/** Readings of the air come this far apart while it is waited for, s. */
const closest = 0.1;
const farthest = 10;
/** Looks in a soak. */
const looks = 20;
/** Air that has come no nearer than by this in this part of the patience never will, K. */
const leastProgress = 0.2;
const stallPart = 0.25;

export interface Soaked {
  /** s that the air has been where it was to be. */
  readonly soaked: number;
  /** The air was somewhere else, or the chamber was set for the first time. */
  readonly fresh: boolean;
}

export interface SoakParts {
  readonly clock: Clock;
  readonly call: Call;
}

/**
 * Sets the chamber and waits until its air has been where it is to be for the whole soak, without a break. Rejects with
 * BenchError `late` where it does not come there in time, `refused` where the chamber complains or does something else.
 */
export async function soak(wanted: WantedAir, parts: SoakParts): Promise<Soaked> {
  const { chamber, celsius } = wanted;
  const before = held.get(chamber);
  const fresh = before?.celsius !== celsius || before.since === null;
  try {
    if (before?.celsius !== celsius) {
      await chamber.set({ celsius }, parts.call);
      held.set(chamber, { celsius, since: null });
    }
    const since = await settle(wanted, parts);
    return { soaked: parts.clock.now() - since, fresh };
  } catch (error) {
    forgetSoak(chamber);
    throw error;
  }
}

/** What is known of the air holds no more. */
export function forgetSoak(chamber: Chamber): void {
  held.delete(chamber);
}

async function settle(wanted: WantedAir, { clock, call }: SoakParts): Promise<number> {
  const { chamber, soak: time, patience, celsius } = wanted;
  const state = held.get(chamber) ?? { celsius, since: null };
  const pause = Math.min(farthest, Math.max(closest, Math.min(time, patience) / looks));
  const progress = new Progress(clock.now());
  const began = clock.now();
  for (;;) {
    const reading = await readAir(wanted, call);
    const now = clock.now();
    if (reading.doubt !== null) throw airError(chamber.name, reading.doubt);
    state.since = reading.there ? (state.since ?? now) : null;
    if (state.since !== null && now - state.since >= time) return state.since;
    progress.note(farthestOf(reading, celsius), now);
    const waited = now - began;
    const stalled = state.since === null && progress.stalledFor(now) > stallPart * patience;
    if (stalled || waited > patience + time) throw notReached(wanted, { waited, reading, stalled });
    await clock.waitUntil(now + pause, call.signal);
  }
}

function farthestOf({ celsius, probe = celsius }: AirTaken, wanted: number): number {
  return Math.max(Math.abs(celsius - wanted), Math.abs(probe - wanted));
}

/** How near the air has come, and when it last came nearer. */
class Progress {
  #nearest = Number.POSITIVE_INFINITY;
  #at: number;

  constructor(now: number) {
    this.#at = now;
  }

  note(distance: number, now: number): void {
    if (distance > this.#nearest - leastProgress) return;
    this.#nearest = distance;
    this.#at = now;
  }

  stalledFor(now: number): number {
    return now - this.#at;
  }
}

function notReached(
  { chamber, celsius: wanted, within, soak: time }: WantedAir,
  {
    waited,
    reading,
    stalled,
  }: { readonly waited: number; readonly reading: AirTaken; readonly stalled: boolean },
): BenchError {
  const why = stalled ? 'and comes no nearer' : `and did not stay there for ${time} s`;
  return new BenchError(
    'late',
    chamber.name,
    `its air was to have ${wanted} °C ± ${within} K; after ${waited.toFixed(0)} s it has ${airWords(reading)}, ${why}. Check the chamber and its door, or give it more patience in the rig file`,
  );
}
