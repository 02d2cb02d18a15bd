import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import type { RunRecord } from '../../record/run-record.ts';
import type { Lane } from '../../run/engine/lane.ts';
import { refuseFaultsOfOtherFirmware } from '../inputs/faults-of-build.ts';
import { readRunSpecs } from '../inputs/run-inputs.ts';
import { PlantLane } from '../lanes/plant-lane.ts';
import { openPlantLanes } from '../lanes/plant-lanes.ts';
import { programDigest } from './program-digest.ts';
import {
  type FinishedRun,
  type RunContext,
  type RunRequest,
  runAndStore,
} from './run-and-store.ts';

export interface SimulatedRunRequest extends RunRequest {
  readonly faults: RunRecord['faults'];
  readonly firmware?: FirmwareImage | undefined;
  /** Conditions at a time; one per core when absent. */
  readonly jobs?: number | undefined;
}

/** Runs specs on the simulated lamp. Throws a Complaint where the specs or the run to resume cannot be used. */
export async function runSimulated(
  request: SimulatedRunRequest,
  context: RunContext,
): Promise<FinishedRun> {
  const { bench, selection, firmware, faults, jobs } = request;
  if (firmware) refuseFaultsOfOtherFirmware(faults, firmware, bench.lamp);
  const first = new PlantLane(firmware);
  // It takes as long to load as the specs take to be read.
  first.start();
  let lanes: readonly Lane[] = [first];
  try {
    const inputs = readRunSpecs(selection, bench, context.cwd);
    const conditions = inputs.plans.reduce(
      (sum, plan) => sum + plan.conditions.length * plan.repeat,
      0,
    );
    lanes = openPlantLanes(first, jobs, conditions, firmware);
    const ready = {
      lanes,
      faults,
      firmware,
      // Who looks on while files are saved stores nothing.
      ...(request.store && { code: programDigest() }),
      unknownSerial: 'simulated',
      identities: new Map(),
      notes: {},
      retries: 0,
    };
    return await runAndStore(request, inputs, ready, context);
  } finally {
    await Promise.all(lanes.map((lane) => lane.close()));
  }
}
