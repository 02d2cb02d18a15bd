import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import type { PauseAt } from '../../../drivers/plant/firmware/firmware-pause.ts';
import { claimCondition } from '../../record/condition-words.ts';
import { shortId } from '../../record/ids.ts';
import { timesMeasured } from '../../record/measurements.ts';
import type { ConditionTask, Lane } from '../../run/engine/lane.ts';
import { taskOfMeasurement } from '../../run/engine/measure-again.ts';
import { seedOf } from '../../run/engine/seed.ts';
import { refuseFaultsOfOtherFirmware } from '../inputs/faults-of-build.ts';
import { PlantLane } from '../lanes/plant-lane.ts';
import { programDigest } from '../running/program-digest.ts';
import { type FinishedRun, type RunContext, runAndStore } from '../running/run-and-store.ts';
import { PausedLane } from './paused-lane.ts';
import type { Replayed, ReplayInputs } from './replay-inputs.ts';

export interface ReplayTarget {
  readonly archive: string;
  /** Stop a debugger that is attached to this thread there. */
  readonly pauseAt?: PauseAt | undefined;
  /** Is given what passed between firmware and lamp in the first pass; null where it was too much to keep. */
  readonly transcribe?: ((text: string | null) => void) | undefined;
}

/** Runs one condition of a stored run again on the simulated lamp, with everything recorded, and stores that as a run of its own. */
export async function replay(
  replayed: Replayed,
  { inputs, firmware, changes }: ReplayInputs,
  { archive, pauseAt, transcribe }: ReplayTarget,
  context: RunContext,
): Promise<FinishedRun> {
  const { run, spec, condition } = replayed;
  const { lamp, rig, lampFile, rigFile } = inputs;
  if (firmware) refuseFaultsOfOtherFirmware(run.faults, firmware, lamp);
  const lane = laneOf(firmware, pauseAt);
  const what = `${claimCondition(spec.spec, condition.key)} of run ${shortId(run.id)}, replayed with everything recorded`;
  const request = {
    bench: { lamp, rig, lampFile: { ...lampFile, text: '' }, rigFile: { ...rigFile, text: '' } },
    selection: { paths: [spec.file], tags: [], only: [spec.spec] },
    seed: run.seed,
    build: run.lamp.build,
    serial: run.lamp.serial,
    operator: run.operator,
    store: { archive, captures: 'all' as const },
  };
  const ready = {
    lanes: [asTheRepeat(lane, replayed, transcribe)],
    ...{ faults: run.faults, firmware, code: programDigest() },
    ...{ unknownSerial: 'simulated', identities: new Map(), notes: {}, retries: 0 },
    deviations: [{ kind: 'replay', text: [what, ...changes].join('; ') }],
  };
  try {
    return await runAndStore(request, inputs, ready, context);
  } finally {
    await lane.close();
  }
}

function laneOf(firmware: FirmwareImage | undefined, pauseAt: PauseAt | undefined): Lane {
  return firmware && pauseAt !== undefined
    ? new PausedLane(firmware, pauseAt)
    : new PlantLane(firmware, { everything: true });
}

/** A condition that was repeated had another seed each time, and so has each of its measurements: the last one is replayed. */
function asTheRepeat(
  lane: Lane,
  { run, spec, condition }: Replayed,
  transcribe: ReplayTarget['transcribe'],
): Lane {
  const { key, repeat } = condition;
  const last = timesMeasured(condition);
  return {
    repeatable: true,
    execute: async (task: ConditionTask, signal: AbortSignal) => {
      const seeded = { ...task, repeat, seed: seedOf(run.seed, spec.spec, key, repeat) };
      const result = await lane.execute(taskOfMeasurement(seeded, last), signal);
      const [first] = result.transcripts ?? [];
      if (first !== undefined) transcribe?.(first);
      return result;
    },
    safe: () => lane.safe(),
    close: () => lane.close(),
  };
}
