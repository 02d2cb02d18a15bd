import { resolve } from 'node:path';
import { openConsole } from '../../../drivers/console/open-console.ts';
import { openDali } from '../../../drivers/dali/open-dali.ts';
import type { OpenInstrument } from '../../../drivers/driver.ts';
import {
  type Emulation,
  type EmulationOptions,
  openEmulation,
} from '../../../drivers/plant/emulate/emulation.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { openSacn } from '../../../drivers/sacn/open-sacn.ts';
import { openScpi } from '../../../drivers/scpi/open-scpi.ts';
import type { Clock, Instrument } from '../../../harness/bench/ports.ts';
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
export function rigFor({ endpoints }: Emulation, { terminal = false, deadline = 5 } = {}): Rig {
  const instruments = emulatedRig.instruments.map((instrument) => {
    const { name } = instrument;
    const endpoint = endpoints.find(
      (one) =>
        one.name === name && (name !== 'console' || one.address.startsWith('/') === terminal),
    )!;
    const address = endpoint.port === 0 ? endpoint.address : `tcp://127.0.0.1:${endpoint.port}`;
    const where = name === 'sacn' ? { to: `127.0.0.1:${endpoint.port}` } : { address };
    const profile = instrument.settings['profile'];
    const settings = { ...(profile ? { profile } : {}), ...where };
    return { ...instrument, deadline, settings };
  });
  return { ...emulatedRig, instruments };
}

const drivers: Readonly<Record<string, OpenInstrument>> = {
  scpi: openScpi,
  console: openConsole,
  dali: openDali,
  sacn: openSacn,
};

/** One instrument of a rig, by its real driver. */
export async function openInstrument(
  rig: Rig,
  name: string,
  clock: Clock = new RealClock(),
): Promise<Instrument> {
  const instrument = rig.instruments.find((one) => one.name === name)!;
  const context = { rig, lamp, clock, folder: resolve('specs/rigs') };
  return drivers[instrument.driver]!(instrument, context);
}
