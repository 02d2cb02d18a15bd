import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { LampLink } from '../../../harness/bench/ports.ts';
import { ConsoleLampLink } from '../../console/console-link.ts';
import { defaultBridgeLines } from '../../dali/bridge-lines.ts';
import { DaliLampLink } from '../../dali/dali-link.ts';
import { DmxLampLink } from '../../dmx/dmx-link.ts';
import type { LinkParts } from '../../link-base.ts';
import { defaultPriority } from '../../sacn/packet.ts';
import { SacnLampLink } from '../../sacn/sacn-link.ts';
import type { LampSide } from '../lamp-side.ts';
import { BridgePort } from './bridge-port.ts';
import { ConsolePort } from './console-port.ts';
import { ConsoleWire } from './console-wire.ts';
import { DaliBridge } from './dali-bridge.ts';
import { DaliBus } from './dali-bus.ts';
import { DmxWire } from './dmx-wire.ts';
import { Network } from './network.ts';
import { sacnInput } from './sacn-input.ts';
import type { LinkTraits } from './traits.ts';

export interface SimulatedLinkParts {
  /** Instrument's name in the rig file. */
  readonly name: string;
  readonly lamp: Lamp;
  readonly side: LampSide;
  readonly traits: LinkTraits;
}

/** Opens a link over its virtual transport; null when the lamp file has no such link. */
type OpenSimulatedLink = (parts: SimulatedLinkParts) => LampLink | null;

/** One line a link: the links of a rig, over transports that lead to the simulated lamp. */
const simulatedLinks: Readonly<Record<keyof Lamp['links'], OpenSimulatedLink>> = {
  console: openConsole,
  dali: openDali,
  dmx: openDmx,
  sacn: openSacn,
};

/** A link of the simulated lamp by its name, or null where it has none of that name. */
export function openSimulatedLink(link: string, parts: SimulatedLinkParts): LampLink | null {
  return isLink(link) ? simulatedLinks[link](parts) : null;
}

function isLink(link: string): link is keyof Lamp['links'] {
  return Object.hasOwn(simulatedLinks, link);
}

function openConsole(parts: SimulatedLinkParts): LampLink | null {
  const { lamp, side, traits } = parts;
  const { console } = lamp.links;
  if (!console) return null;
  const port = new ConsolePort(new ConsoleWire(side, traits, console.baud), side, traits);
  return new ConsoleLampLink(linkParts(parts), console, () => Promise.resolve(port));
}

function openDali(parts: SimulatedLinkParts): LampLink | null {
  const { lamp, side, traits } = parts;
  const { dali } = lamp.links;
  if (!dali) return null;
  const lines = defaultBridgeLines;
  const bus = new DaliBus(side, traits);
  const bridge = new DaliBridge(bus, lines, 'Evenfall, simulated DALI bridge, 0, 0');
  const open = () => Promise.resolve(new BridgePort(bridge, side));
  const { shortAddress } = dali;
  return new DaliLampLink({ ...linkParts(parts), shortAddress, lines, open });
}

function openDmx(parts: SimulatedLinkParts): LampLink | null {
  const { lamp, side, traits } = parts;
  const { dmx: slots } = lamp.links;
  if (!slots) return null;
  const outlet = new DmxWire(side, traits);
  return new DmxLampLink({ ...linkParts(parts), slots, outlet, model: 'simulated DMX512 sender' });
}

function openSacn(parts: SimulatedLinkParts): LampLink | null {
  const { lamp, side, traits } = parts;
  const { sacn: slots } = lamp.links;
  if (!slots) return null;
  const outlet = new Network(side, traits, sacnInput(lamp, slots, side, traits));
  const model = 'simulated sACN sender';
  const stream = { priority: defaultPriority, sender: 'simulated' };
  return new SacnLampLink({ ...linkParts(parts), slots, outlet, model, ...stream });
}

function linkParts({ name, lamp, side }: SimulatedLinkParts): LinkParts {
  const { clock } = side;
  return { name, driver: 'plant', lamp, clock, pullReset: () => side.reset(clock.now()) };
}
