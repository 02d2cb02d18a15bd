import type { Lamp } from '../../bench/lamp.ts';
import type { Rig, Wire } from '../../bench/rig.ts';
import type { Signal } from '../../measure/signals.ts';

/** The wire that carries a signal of a channel, or of the whole lamp (`of` is the signal's own name then). */
export function wireFor(signal: Signal, of: string, rig: Rig, lamp: Lamp): Wire | undefined {
  const own = rig.wiring.find((wire) => wire.signal === signal && wire.of === of);
  if (own) return own;
  const position = lamp.channels.findIndex(({ channel }) => channel === of);
  if (position >= 0) {
    // `each`: the rig's inputs in the lamp's order of channels; with fewer inputs than channels they are used in turn.
    const each = rig.wiring.filter((wire) => wire.signal === signal && wire.of === 'each');
    return each[position % Math.max(1, each.length)];
  }
  return rig.wiring.find((wire) => wire.signal === signal && wire.of === 'all');
}
