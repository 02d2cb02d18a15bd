import * as z from 'zod';
import { BenchError } from '../../harness/bench/errors.ts';
import type { OpenInstrument } from '../driver.ts';
import { readByPreflight, readSettings } from '../settings.ts';
import { defaultPriority } from './packet.ts';
import { SacnLampLink } from './sacn-link.ts';
import { readDestination, SacnSocket } from './sacn-socket.ts';

const aDestination = 'expected multicast, host or host:port';

/** Settings of an instrument with `driver: sacn`. */
export const sacnSettings = z.strictObject({
  ...readByPreflight,
  to: z.string(aDestination).transform((text, context) => {
    const to = readDestination(text);
    if (to) return to;
    context.addIssue({ code: 'custom', message: aDestination });
    return z.NEVER;
  }),
  /** Address of the network interface that multicast leaves by. */
  interface: z.string().optional(),
  priority: z.int().min(0).max(200).default(defaultPriority),
});

export const openSacn: OpenInstrument = (instrument, { lamp, clock }) => {
  const { to, interface: network, priority } = readSettings(sacnSettings, instrument);
  const slots = lamp.links.sacn;
  if (!slots)
    throw new BenchError(
      'unsupported',
      instrument.name,
      `lamp ${lamp.lamp} has no sACN link; add links.sacn to the lamp file, or drop instrument ${instrument.name}`,
    );
  const open = () => SacnSocket.open(slots.universe, to, network);
  return new SacnLampLink({ name: instrument.name, lamp, slots, clock, priority, open });
};
