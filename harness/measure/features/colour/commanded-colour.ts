import { type Tristimulus, xyToXyz } from '../../colorimetry/chromaticity.ts';
import { mix } from '../../colorimetry/mixing.ts';
import type { Commanded, Window } from '../../observation.ts';
import { memoise } from '../../signal/memoise.ts';
import { type CommandedSubject, channelLevel } from '../../subject/commanded-light.ts';

/** Instants that a window is averaged over. */
const slices = 100;

/** Tristimulus values (Y in lm) that the nominal channels have together at an instant; of one channel, its own. */
function commandedColour({ commanded, of }: CommandedSubject, at: number): Tristimulus {
  const own = commanded.channels.filter(({ channel }) => channel === of);
  const channels = own.length > 0 ? own : commanded.channels;
  return mix(
    channels.map((channel) => {
      const [x, y] = channel.xy;
      return xyToXyz({ x, y }, channel.lumen * channelLevel(channel, commanded.curve, at));
    }),
  );
}

/** The same, averaged over a window. */
export function commandedMeanColour(
  { commanded, of }: CommandedSubject,
  { from, to }: Window,
): Tristimulus {
  return meanOver(commanded, of, from, to);
}

const meanOver = memoise((commanded: Commanded, of: string, from: number, to: number) => {
  const all = Array.from({ length: slices }, (_, index) =>
    commandedColour({ commanded, of }, from + ((index + 0.5) / slices) * (to - from)),
  );
  const { X, Y, Z } = mix(all);
  return { X: X / slices, Y: Y / slices, Z: Z / slices };
});
