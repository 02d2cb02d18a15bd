import type { Observation, ProbeTrack, Window } from '../observation.ts';
import { type NotMeasurable, notMeasurable } from '../outcome.ts';

/** A time in which a variable of the firmware had one value, s. */
export interface Stretch extends Window {
  readonly value: number;
}

/** The values of the subject's variable in a window, one after another, from when it was told first. */
export function probeStretches(
  { of, probes = [] }: Pick<Observation, 'of' | 'probes'>,
  window: Window,
): { readonly track: ProbeTrack; readonly stretches: readonly Stretch[] } | NotMeasurable {
  const track = probes.find(({ name }) => name === of);
  if (!track) return notMeasurable('no-record', { note: `no probe ${of}` });
  if (track.missing !== undefined) return notMeasurable('untold', { note: track.missing });
  if (track.until !== null && track.until < window.to) {
    const note = `probe ${of} changed more often than can be kept: it is known until ${track.until.toFixed(3)} s`;
    return notMeasurable('untold', { note });
  }
  const stretches = stretchesOf(track, window);
  if (stretches.length > 0) return { track, stretches };
  return notMeasurable('untold', { note: `it told probe ${of} only later` });
}

function stretchesOf({ at, values }: ProbeTrack, { from, to }: Window): Stretch[] {
  return values.flatMap((value, place) => {
    const start = Math.max(from, at[place] ?? 0);
    const end = Math.min(to, at[place + 1] ?? Number.POSITIVE_INFINITY);
    return end > start ? [{ from: start, to: end, value }] : [];
  });
}
