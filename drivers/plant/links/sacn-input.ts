import type { Lamp, SlotLink } from '../../../harness/bench/lamp.ts';
import type { LampSide } from '../lamp-side.ts';
import { SacnNode } from './sacn-node.ts';
import type { LinkTraits } from './traits.ts';

/** Where datagrams arrive: at a network interface that hands on slots, or at firmware that does the protocol by itself. */
export interface SacnInput {
  /** A datagram arrives, now. */
  receive(bytes: Uint8Array): void;
}

export function sacnInput(
  lamp: Lamp,
  sacn: SlotLink & { readonly universe: number },
  side: LampSide,
  traits: LinkTraits,
): SacnInput {
  if (!side.takesDatagrams) return new SacnNode(lamp, sacn, side, traits);
  return {
    receive: (datagram) => side.deliver(side.clock.now(), { link: 'sacn', datagram }, true),
  };
}
