import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { Rig, Wire } from '../../../harness/bench/rig.ts';

/**
 * Index of the channel that a wire sees alone; null where it sees the whole lamp. Wires `of: each` follow the lamp's
 * order of channels, as they do for the engine; `switched` names the channel where one of them serves several in turn.
 */
export function channelOf(lamp: Lamp, rig: Rig, wire: Wire, switched?: string): number | null {
  const asked = lamp.channels.findIndex(({ channel }) => channel === switched);
  if (asked >= 0) return asked;
  const named = lamp.channels.findIndex(({ channel }) => channel === wire.of);
  if (named >= 0) return named;
  if (wire.of !== 'each') return null;
  const each = rig.wiring.filter(({ signal, of }) => signal === wire.signal && of === 'each');
  const position = each.indexOf(wire);
  return position >= 0 && position < lamp.channels.length ? position : null;
}
