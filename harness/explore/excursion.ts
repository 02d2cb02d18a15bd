import type { ModelStory } from '../model/model-lamp.ts';

/** Mean light of one channel over equal stretches of time, 0..1 of its full light. */
export interface LightCourse {
  readonly channel: string;
  /** Start of the first stretch, s, and the length of each. */
  readonly from: number;
  readonly step: number;
  readonly means: Float32Array;
}

/** How light is held against the model. */
export interface Strictness {
  /** Light may lie outside for so long, s: less is what one stretch of time cannot tell. */
  readonly shortest: number;
  /** Relative light that one pulse of the modulator makes of a stretch. */
  readonly grain: number;
}

/** Where the light of a channel lay outside what the model allows. */
export interface Excursion {
  readonly channel: string;
  /** s */
  readonly from: number;
  readonly to: number;
  /** When it lay furthest outside, its light there, and what was allowed. */
  readonly worstAt: number;
  readonly found: number;
  readonly low: number;
  readonly high: number;
  /** Index of what the light had to follow. */
  readonly lead: number;
}

/** Stretches of equal light of which one is held against the model. */
const seldom = 8;

/** The first excursion of a channel that lasts; null where its light stays in the model's interval. */
export function firstExcursion(
  { channel, from, step, means }: LightCourse,
  story: ModelStory,
  { shortest, grain }: Strictness,
): Excursion | null {
  const needed = Math.max(1, Math.round(shortest / step));
  let begun = -1;
  let looked = Number.NEGATIVE_INFINITY;
  let worst = { at: 0, by: 0, found: 0, low: 0, high: 0 };
  for (let k = 0; k <= means.length; k++) {
    const at = from + (k + 0.5) * step;
    const found = means[k] ?? 0;
    // Light that stands still need not be asked for each millisecond.
    const moves = Math.abs(found - (means[k - 1] ?? 2)) > grain;
    if (begun < 0 && k < means.length && !moves && k - looked < seldom) continue;
    looked = k;
    const { low, high } = k < means.length ? story.levelAt(channel, at) : { low: 0, high: 1 };
    const by = Math.max(low - grain - found, found - grain - high);
    if (k < means.length && by > 0) {
      if (begun < 0) worst = { at, by, found, low, high };
      if (begun < 0) begun = k;
      if (by > worst.by) worst = { at, by, found, low, high };
    } else if (begun >= 0) {
      if (k - begun >= needed) {
        const [start, end] = [from + begun * step, from + k * step];
        const { found: light, low: lowest, high: highest, at: worstAt } = worst;
        const lead = story.leadAt(channel, worstAt);
        return {
          channel,
          from: start,
          to: end,
          worstAt,
          found: light,
          low: lowest,
          high: highest,
          lead,
        };
      }
      begun = -1;
    }
  }
  return null;
}
