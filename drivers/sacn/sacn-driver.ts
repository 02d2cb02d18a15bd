import { hostname } from 'node:os';
import * as z from 'zod';
import { readable } from '../../harness/files/schema-parts.ts';
import { defineDriver } from '../driver.ts';
import { linkOfLamp } from '../link-of-lamp.ts';
import { defaultPriority } from './packet.ts';
import { SacnLampLink } from './sacn-link.ts';
import { openUdpPort, readDestination } from './udp-port.ts';

/** Streaming ACN over UDP. */
export const sacnDriver = defineDriver({
  name: 'sacn',
  settings: z.strictObject({
    to: readable(
      'Where packets go: the multicast group of the universe, or one receiver.',
      'multicast, host or host:port',
      'multicast',
      readDestination,
    ),
    interface: z
      .string()
      .optional()
      .meta({ description: 'Address of the network interface that multicast leaves by.' }),
    priority: z
      .int()
      .min(0)
      .max(200)
      .meta({ description: 'Priority of the stream.' })
      .default(defaultPriority),
  }),
  open: ({ name, driver, settings }, { lamp, clock, log, rig }) => {
    const { to, interface: network, priority } = settings;
    const slots = linkOfLamp(lamp, 'sacn', name);
    const outlet = openUdpPort(slots.universe, to, network, clock);
    const model = `sACN sender, universe ${slots.universe}`;
    // Two rigs on one network, or one rig file on two computers, are two senders.
    const sender = `${hostname()}/${rig.rig}`;
    return new SacnLampLink({
      ...{ name, driver, lamp, clock, log, slots },
      ...{ outlet, model, priority, sender },
    });
  },
});
