import { readRunSpecs } from '../inputs/run-inputs.ts';
import { prepareRig, type RigTerms } from '../rig/prepare-rig.ts';
import type { RigUse } from '../rig/rig-event.ts';
import { PieceStore } from './piece-store.ts';
import {
  type FinishedRun,
  type RunContext,
  type RunRequest,
  runAndStore,
} from './run-and-store.ts';

export interface RigRunRequest extends RunRequest {
  /** Somebody has read the cautions: specs that flash may run. */
  readonly flashingOk: boolean;
  /** How often a condition is tried again after a bench error. */
  readonly retries: number;
  /** How long instruments that have gone are waited for before the run is given up, s. */
  readonly patience: number;
  /** File of the build, for the programs that prepare the lamp. */
  readonly firmwareFile?: string | undefined;
}

/**
 * Runs specs on a rig of real instruments, which is locked and guarded meanwhile and left in its safe state. Throws a
 * Complaint where specs, rig or the run to resume cannot be used.
 */
export async function runOnRig(
  request: RigRunRequest,
  context: RunContext & RigUse,
): Promise<FinishedRun> {
  const { bench, selection, flashingOk, retries, patience, build, serial, firmwareFile } = request;
  const pieces = new PieceStore();
  const keeperOf: RigTerms['keeperOf'] = (task) => pieces.keeperOf(task);
  const terms = {
    flashingOk,
    patience,
    tested: { build, serial, firmware: firmwareFile },
    keeperOf,
  };
  const inputs = readRunSpecs(selection, bench, context.cwd);
  const rig = await prepareRig(inputs, terms, context);
  try {
    const ready = {
      lanes: [rig.lane],
      faults: [],
      unknownSerial: 'not given',
      identities: rig.identities,
      notes: rig.notes,
      ...(rig.standard && { standard: rig.standard }),
      ...(rig.reading && { reading: rig.reading }),
      unprovable: rig.unprovable,
      lampSays: rig.says,
      deviations: rig.deviations,
      retries,
    };
    return await runAndStore(request, inputs, ready, { ...context, pieces });
  } finally {
    await rig.release();
  }
}
