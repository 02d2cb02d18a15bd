import type { DriverContext } from '../../../drivers/driver.ts';
import { findDriver } from '../../../drivers/registry.ts';
import type { Instrument } from '../../bench/ports.ts';
import { powerUp } from '../../run/condition/power-up.ts';

/** Does `work` while the lamp has power, by the supply and the switch of its rig; both stay on. */
export async function withLampPower<T>(
  context: DriverContext,
  signal: AbortSignal,
  work: () => Promise<T>,
): Promise<T> {
  const { rig, lamp, clock, folder } = context;
  const instruments = new Map<string, Instrument>();
  try {
    for (const name of [rig.supply?.instrument, rig.switch?.instrument]) {
      const entry = rig.instruments.find((one) => one.name === name);
      if (!entry) continue;
      const open = await findDriver(entry.name, entry.driver, folder);
      instruments.set(entry.name, await open(entry, context));
    }
    const close = () => Promise.resolve();
    await powerUp({ clock, instruments, notes: {}, close }, rig, lamp, signal);
    return await work();
  } finally {
    // Kept open until now: a watchdog of their own wants to be fed.
    for (const instrument of instruments.values()) await instrument.close();
  }
}
