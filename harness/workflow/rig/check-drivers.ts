import {
  type Candidate,
  type ConformanceResult,
  conformance,
} from '../../../drivers/conformance/conformance.ts';
import type { DriverContext } from '../../../drivers/driver.ts';
import { RealClock } from '../../../drivers/real-clock.ts';
import { findDriver } from '../../../drivers/registry.ts';
import { BenchError } from '../../bench/errors.ts';
import type { RigInstrument } from '../../bench/rig.ts';
import { Complaint } from '../complaint.ts';
import { acquireRig, benchComplaint, type RigFiles } from './acquire-rig.ts';
import type { RigUse } from './rig-event.ts';
import { makeBenchSafe } from './rig-safe.ts';
import { withLampPower } from './with-lamp-power.ts';

/**
 * Holds the drivers of some instruments of a rig, a driver of the user's own as well, to the promises of their ports;
 * `onResult` hears of each. Leaves the rig in its safe state. Throws a Complaint where the rig cannot be used, or
 * `interrupted`.
 */
export async function checkDrivers(
  files: RigFiles,
  entries: readonly RigInstrument[],
  use: RigUse,
  onResult: (instrument: string, result: ConformanceResult) => void,
): Promise<void> {
  const { to, bench, release } = await acquireRig(files, use);
  // Each promise reopens its instrument; two connections at a time are more than some take.
  await bench.close();
  try {
    const context: DriverContext = { ...to, clock: new RealClock() };
    for (const entry of entries)
      await checkOne(entry, context, use, (result) => onResult(entry.name, result));
  } catch (error) {
    throw error instanceof BenchError ? benchComplaint(error) : error;
  } finally {
    use.onRigEvent({ event: 'made-safe', ...(await makeBenchSafe(null, to)) });
    await release();
  }
}

async function checkOne(
  entry: RigInstrument,
  context: DriverContext,
  use: RigUse,
  onResult: (result: ConformanceResult) => void,
): Promise<void> {
  const driver = await findDriver(entry.name, entry.driver, context.folder);
  const first = await driver(entry, context);
  const { kind } = first;
  await first.close();
  const candidate = candidateOf(entry, context, async () => driver(entry, context));
  const holdAll = async (): Promise<void> => {
    for await (const result of conformance(kind, candidate)) {
      onResult(result);
      if (use.signal.aborted)
        throw new Complaint('interrupted', 'stopped; not every promise was tested');
    }
  };
  // A lamp without power keeps no promise.
  if (kind === 'lamp-link') await withLampPower(context, use.signal, holdAll);
  else await holdAll();
}

function candidateOf(
  entry: RigInstrument,
  { rig, lamp }: DriverContext,
  open: Candidate['open'],
): Candidate {
  return {
    lamp,
    open,
    deadline: entry.deadline,
    // The simulated bench's time passes as it is called.
    ...(entry.driver === 'plant' && { virtual: true }),
    ...(rig.supply ? { highestVolts: rig.supply.highestVolts } : {}),
    ...(rig.chamber ? { highestCelsius: rig.chamber.highest } : {}),
  };
}
