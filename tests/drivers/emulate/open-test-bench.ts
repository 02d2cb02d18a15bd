import { resolve } from 'node:path';
import type { DriverClock } from '../../../drivers/driver-clock.ts';
import {
  type Emulation,
  type EmulationOptions,
  openEmulation,
} from '../../../drivers/plant/emulate/emulation.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { findDriver } from '../../../drivers/registry.ts';
import { readDestination } from '../../../drivers/sacn/udp-port.ts';
import { readAddress } from '../../../drivers/transport/open-byte-port.ts';
import type { Instrument } from '../../../harness/bench/ports.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import { emulatedRig, lamp } from '../conformance/shipped-bench.ts';

/** An emulated bench on ports of the system's choice. */
export function openTestEmulation(options: Partial<EmulationOptions> = {}): Promise<Emulation> {
  return openEmulation({
    lamp,
    rig: emulatedRig,
    portBase: 0,
    sacnPort: 0,
    seed: 1,
    faults: [],
    speed: 1,
    factoryFresh: false,
    troubles: [],
    say: () => {},
    ...options,
  });
}

/** The shipped rig, pointed at this emulation; `terminal` puts the console on its pseudo-terminal. */
export function rigFor(
  { endpoints }: Emulation,
  { terminal = false, deadline = 5, base = emulatedRig } = {},
): Rig {
  const instruments = base.instruments.map((instrument) => {
    const { name } = instrument;
    const endpoint = endpoints.find(
      (one) =>
        one.name === name && (name !== 'console' || one.address.startsWith('/') === terminal),
    )!;
    const address = endpoint.port === 0 ? endpoint.address : `tcp://127.0.0.1:${endpoint.port}`;
    const own = readAddress(address);
    const where =
      name === 'sacn' ? { to: readDestination(`127.0.0.1:${endpoint.port}`) } : { address: own };
    const settings = { ...(instrument.settings as object), ...where };
    return { ...instrument, deadline, settings };
  });
  return { ...base, instruments };
}

/** One instrument of a rig, by its real driver. */
export async function openInstrument(
  rig: Rig,
  name: string,
  clock: DriverClock = new RealClock(),
): Promise<Instrument> {
  const instrument = rig.instruments.find((one) => one.name === name)!;
  const context = { rig, lamp, clock, folder: resolve('specs/rigs') };
  const open = await findDriver(name, instrument.driver, context.folder);
  return open(instrument, context);
}
