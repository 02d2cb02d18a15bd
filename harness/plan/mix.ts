import type { Lamp } from '../bench/lamp.ts';

/** A mix as a spec writes it: a named one, or intensities 0..1 (channels not named keep theirs at `set`/`fade`; start at 0). */
export type Mix =
  | { readonly name: string }
  | { readonly intensities: Readonly<Record<string, number>> };

/** Mixes that every lamp has. */
export const builtInMixes = ['all', 'off'];

/** A named mix of the lamp, as intensities. */
export function mixOf(lamp: Lamp, name: string): Readonly<Record<string, number>> {
  if (name === 'all') return Object.fromEntries(lamp.channels.map(({ channel }) => [channel, 1]));
  if (name === 'off') return {};
  return lamp.mixes[name] ?? {};
}
