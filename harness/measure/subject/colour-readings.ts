import type { ColourReading, Observation, Window } from '../observation.ts';
import { type NotMeasurable, notMeasurable } from '../outcome.ts';

/** Colour readings whose integration lies wholly in the window, of the lamp or of one channel. */
export function readingsIn(
  { colour, of }: Observation,
  { from, to }: Window,
): readonly ColourReading[] | NotMeasurable {
  const subject = of === 'light' || of === 'colour' ? 'lamp' : of;
  const edge = 1e-6;
  const inside = colour.filter(
    ({ at, integration, of: whose }) =>
      whose === subject && at - integration / 2 >= from - edge && at + integration / 2 <= to + edge,
  );
  if (colour.length === 0) return notMeasurable('no-record', { note: 'no colour readings' });
  if (inside.length === 0)
    return notMeasurable('empty', { note: `no colour reading of ${subject} in the window` });
  if (inside.some(({ state }) => state === 'saturated')) return notMeasurable('saturated');
  if (inside.some(({ state }) => state === 'under-range'))
    return notMeasurable('below-noise', { note: 'colour sensor under range' });
  if (inside.some(({ X, Y, Z }) => !Number.isFinite(X + Y + Z))) return notMeasurable('not-finite');
  if (inside.some(isNegative)) return notMeasurable('negative-light');
  if (inside.some(({ X, Y, Z }) => X + Y + Z <= 0 || Y <= 0)) return notMeasurable('dark');
  return inside;
}

/** Noise may push one of the three a little below zero near the sensor's floor. */
const negativePart = 0.02;

function isNegative({ X, Y, Z }: ColourReading): boolean {
  return Math.min(X, Y, Z) < -negativePart * Math.max(Math.abs(X), Math.abs(Y), Math.abs(Z));
}
