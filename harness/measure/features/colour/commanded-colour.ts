import { type Tristimulus, xyToXyz } from '../../colorimetry/chromaticity.ts';
import { mix } from '../../colorimetry/mixing.ts';
import type { Observation, Window } from '../../observation.ts';
import { channelLevel } from '../../observe.ts';

/** Instants that a window is averaged over. */
const slices = 100;

/** Tristimulus values (Y in lm) that the nominal channels have together at an instant; of one channel, its own. */
function commandedColour({ commanded, of }: Observation, at: number): Tristimulus {
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
export function commandedMeanColour(observation: Observation, { from, to }: Window): Tristimulus {
  const all = Array.from({ length: slices }, (_, index) =>
    commandedColour(observation, from + ((index + 0.5) / slices) * (to - from)),
  );
  const { X, Y, Z } = mix(all);
  return { X: X / slices, Y: Y / slices, Z: Z / slices };
}
