import type { Driver } from '../../drivers/driver.ts';
import type { RigInstrument } from '../../harness/bench/rig.ts';

/** An instrument whose settings are written like this in the rig file, as the driver is handed it. */
export function instrumentOf(
  { name: driver, settings }: Driver,
  written: object,
  change: Partial<RigInstrument> = {},
): RigInstrument {
  const base = { name: driver, driver, identity: {}, limits: {}, deadline: 5, retries: 0 };
  return { ...base, settings: settings.parse(written), ...change };
}
