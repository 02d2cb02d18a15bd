import type { Heard } from '../bench/heard.ts';
import type { World } from './world.ts';

/** Start code and slots take so long each, s (E1.11 7). */
const slotTime = 44e-6;

/** A command that moved the light, while it may still be on its way through its link or the lamp. */
export interface Overlap {
  readonly event: Heard;
  readonly of: number;
  /** s */
  readonly until: number;
  readonly before: readonly World[];
  /** What other links said while it was on its way. */
  readonly since: readonly Told[];
  /** The end of its signal, where that was told while it was on its way. */
  readonly stop: Told | null;
}

/** An event, and its index in the story. */
export interface Told {
  readonly event: Heard;
  readonly of: number;
}

export const overlap =
  'two links spoke at the same time: which of them the lamp heard first is open';

/** A lamp may act on a frame of DMX512 as its slots come, or on the whole of it. */
export function dmxFrameTime({ slots }: { readonly slots: readonly number[] }): number {
  return (1 + slots.length) * slotTime;
}

export function isLink({ kind }: Heard): boolean {
  return kind === 'console' || kind === 'dali' || kind === 'dmx' || kind === 'sacn';
}

/** Null where an event cannot be mistaken in its turn: it moved nothing, or is none of a link. */
export function overlapOf(
  event: Heard,
  of: number,
  {
    before,
    after,
    tick,
  }: { readonly before: readonly World[]; readonly after: readonly World[]; readonly tick: number },
): Overlap | null {
  if (!isLink(event)) return null;
  const lights = new Set(before.map(({ light }) => light));
  if (after.every(({ light }) => lights.has(light))) return null;
  const until = event.at + Math.max(tick, event.kind === 'dmx' ? dmxFrameTime(event) : 0);
  return { event, of, until, before, since: [], stop: null };
}

/** A command on its way as another event is told. */
export function overlapAfter(last: Overlap, told: Told): Overlap {
  const { event } = told;
  if (event.kind === 'dmx-stops' && last.event.kind === 'dmx') return { ...last, stop: told };
  return { ...last, since: [...last.since, told] };
}
