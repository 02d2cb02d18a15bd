import type { Observation } from '../../observation.ts';
import { valueAt } from '../../signal/samples.ts';
import { weightedChannels } from '../../subject/commanded-light.ts';
import type { HeldLight } from './held-light.ts';

/** A stretch of averages outside of what is allowed. */
export interface Outside {
  /** Places of its first and last average, and of the one farthest outside. */
  readonly first: number;
  readonly last: number;
  readonly worst: number;
}

/** How far an average lies outside, relative to full light; 0 or less inside. */
export function beyond({ light, least, most }: HeldLight, place: number): number {
  const found = valueAt(light, place);
  return Math.max(valueAt(least, place) - found, found - valueAt(most, place));
}

/** `moved`: with the bounds so much wider, relative to full light. */
export function outsideStretches(held: HeldLight, moved = 0): readonly Outside[] {
  const { light, least, most } = held;
  const found: Outside[] = [];
  let first = -1;
  let worst = -1;
  for (let place = 0; place < light.length; place++) {
    const here = valueAt(light, place);
    if (valueAt(least, place) - here > moved || here - valueAt(most, place) > moved) {
      if (first < 0) first = worst = place;
      else if (beyond(held, place) > beyond(held, worst)) worst = place;
    } else if (first >= 0) {
      found.push({ first, last: place - 1, worst });
      first = -1;
    }
  }
  if (first >= 0) found.push({ first, last: light.length - 1, worst });
  return found;
}

/** What was found at an average and what was allowed there, for people. */
export function outsideNotes(
  held: HeldLight,
  observation: Observation,
  place: number,
): Readonly<Record<string, number | string>> {
  const at = valueAt(held.times, place);
  return {
    at,
    command: commandAt(observation, at),
    found: valueAt(held.light, place),
    'allowed-from': Math.max(0, valueAt(held.least, place)),
    'allowed-to': valueAt(held.most, place),
  };
}

/** What the light had to follow. */
export function commandAt(observation: Observation, at: number): string {
  const [first] = weightedChannels(observation);
  return (first && observation.modelled?.leadAt(first.channel.channel, at)) ?? '';
}

/** Where the model says little, so that the light may do much. */
export function openNotes({ open }: HeldLight): Readonly<Record<string, number | string>> {
  return open ? { 'held-loosely': open.share, 'held-loosely-because': open.why } : {};
}
