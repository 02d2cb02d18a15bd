import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import type { Identity } from '../../bench/ports.ts';
import type { CapturesKept } from '../../record/kept-captures.ts';
import type { Quarantine } from '../../record/quarantine.ts';
import { reusedWords } from '../../record/reused.ts';
import type { ReadingBefore } from '../../record/rig-record.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { runSpecs } from '../../run/engine/engine.ts';
import type { RunListener } from '../../run/engine/events.ts';
import { jobsOf } from '../../run/engine/jobs.ts';
import type { RunSetup } from '../../run/engine/run-setup.ts';
import { looksOf } from '../../run/judge/repeated-condition.ts';
import type { Bench } from '../inputs/read-bench.ts';
import type { RunInputs } from '../inputs/run-inputs.ts';
import type { Selection } from '../inputs/select-plans.ts';
import { wallClock } from '../wall-clock.ts';
import { draftRecord } from './draft-record.ts';
import type { PieceStore } from './piece-store.ts';
import { findResumedRun, keepConditions, type ResumedRun, resumedDraft } from './resume-run.ts';
import { findReusable, keepReused, type ReusedResult } from './reuse-results.ts';
import { type RunReports, RunStore, storingListener } from './run-store.ts';
import { type TakenOver, takenOverDraft, takenOverRun } from './taken-over.ts';

/** What is asked of a run, on the simulated lamp and on a rig alike. */
export interface RunRequest {
  readonly bench: Bench;
  readonly selection: Selection;
  readonly seed: number;
  /** Names for the record. */
  readonly build?: string | undefined;
  readonly serial?: string | undefined;
  readonly operator?: string | undefined;
  /** Claims that are known not to hold, and fail no gate. */
  readonly quarantine?: ReadonlyMap<string, Quarantine> | undefined;
  /** How often a condition is measured again that is inconclusive and may be decided by it; absent: never. */
  readonly again?: number | undefined;
  /** Give up after so many bench errors. */
  readonly maxBenchErrors?: number | undefined;
  /** The archive that takes the run, and a run in it to resume (a folder, or the start of an id); null: not stored. */
  readonly store: RunTarget | null;
}

interface RunTarget {
  readonly archive: string;
  readonly resume?: string | undefined;
  /** What other benches had measured of it; not together with `resume`. */
  readonly takenOver?: TakenOver | undefined;
  /** Captures that are kept once they are judged. */
  readonly captures: CapturesKept;
  /** Takes results from earlier runs where nothing has changed that they rest on. Of the simulated lamp alone. */
  readonly reuse?: boolean;
}

/** Who works for a run besides its lanes. */
export interface RunContext {
  /** Folder that the names of files are relative to. */
  readonly cwd: string;
  readonly signal: AbortSignal;
  readonly listeners: readonly RunListener[];
  readonly reports: RunReports;
  /** Keeps what long conditions bring before they end. */
  readonly pieces?: PieceStore;
}

export interface FinishedRun {
  readonly record: RunRecord;
  /** Where it is stored. */
  readonly folder: string | null;
}

/** A bench that is ready for its first condition: how the engine uses it, and what the record says of it. */
export interface ReadyBench extends Pick<RunSetup, 'lanes' | 'unprovable' | 'retries'> {
  readonly faults: RunRecord['faults'];
  readonly firmware?: FirmwareImage | undefined;
  /** Digest of the program, on the simulated lamp: where it is absent, nothing is reused. */
  readonly code?: string;
  /** Serial number of the lamp where the request names none. */
  readonly unknownSerial: string;
  readonly identities: ReadonlyMap<string, Identity>;
  readonly notes: RunRecord['rig']['notes'];
  /** Control chart of the check standard, on a rig that has one. */
  readonly standard?: RunRecord['rig']['standard'];
  /** What a drift is told against after the last claim. */
  readonly reading?: ReadingBefore;
  /** What the lamp says of itself, on a rig. */
  readonly lampSays?: RunRecord['lamp']['says'];
  /** What departs from the method before the first condition. */
  readonly deviations?: RunRecord['deviations'];
}

/** Runs specs on a ready bench and stores what happens, as a new run or as the rest of an earlier one. */
export async function runAndStore(
  request: RunRequest,
  inputs: RunInputs,
  bench: ReadyBench,
  { listeners, signal, reports, pieces }: RunContext,
): Promise<FinishedRun> {
  const { store: target, seed, maxBenchErrors } = request;
  const fresh = draftOf(request, inputs, bench);
  const looks = looksOf(fresh.decision);
  const resumed = await earlierRun(target, fresh);
  const reused =
    target?.reuse && bench.code !== undefined
      ? await findReusable(target.archive, fresh, jobsOf({ ...inputs, ...bench, seed }))
      : new Map<string, ReusedResult>();
  const store =
    target &&
    new RunStore(target.archive, reports, {
      resumed: resumed?.folder ?? null,
      kept: target.captures,
    });
  const storing = store
    ? [
        storingListener(store, async () => {
          if (resumed) await keepConditions(resumed, store);
          await keepReused(reused, store);
          if (store.path !== null) pieces?.into(store.path);
        }),
      ]
    : [];
  try {
    const record = await runSpecs({
      ...inputs,
      ...bench,
      seed,
      draft: target?.takenOver
        ? takenOverDraft(fresh, target.takenOver)
        : resumed
          ? resumedDraft(fresh, resumed)
          : withReused(fresh, reused),
      // What is stored goes from the pieces, in this order.
      listeners: [...storing, ...(pieces ? [pieces.listener] : []), ...listeners],
      signal,
      looks,
      wall: wallClock,
      done: resumed?.done ?? new Map([...reused].map(([id, { condition }]) => [id, condition])),
      ...(maxBenchErrors === undefined ? {} : { maxBenchErrors }),
    });
    return { record, folder: store?.path ?? null };
  } finally {
    await store?.close();
  }
}

/** The run whose conditions need not be repeated; null where all are run. */
async function earlierRun(target: RunTarget | null, draft: RunRecord): Promise<ResumedRun | null> {
  if (target?.takenOver) return takenOverRun(draft, target.takenOver);
  if (target?.resume === undefined) return null;
  return findResumedRun(target.archive, target.resume, draft);
}

/** Says what is not run before anything is. */
function withReused(draft: RunRecord, reused: ReadonlyMap<string, ReusedResult>): RunRecord {
  const text = reusedWords([...reused.values()].map(({ condition }) => condition));
  if (text === null) return draft;
  return { ...draft, deviations: [...draft.deviations, { kind: 'reused results', text }] };
}

function draftOf(
  { selection, seed, build, serial, operator, quarantine, again }: RunRequest,
  inputs: RunInputs,
  bench: ReadyBench,
): RunRecord {
  const { faults, firmware, unknownSerial, identities, notes, deviations = [] } = bench;
  const says = bench.lampSays ?? [];
  const said = (field: 'firmware' | 'serial') =>
    says.map((words) => words[field]).find((word) => !/^[\s0.]*$/.test(word));
  return draftRecord({
    ...inputs,
    ...selection,
    faults,
    seed,
    build: build ?? firmware?.name ?? said('firmware') ?? 'reference',
    serial: serial ?? said('serial') ?? unknownSerial,
    says,
    deviations,
    firmware: firmwareRecord(firmware, said('firmware')),
    commit: null,
    code: bench.code,
    identities,
    notes,
    ...(bench.standard && { standard: bench.standard }),
    ...(bench.reading && { reading: bench.reading }),
    operator,
    quarantine,
    again,
    startedAt: wallClock.now(),
  });
}

function firmwareRecord(
  build: FirmwareImage | undefined,
  said: string | undefined,
): RunRecord['lamp']['firmware'] {
  if (said !== undefined) return { kind: 'as the lamp says', name: said, digest: null };
  if (!build) return { kind: 'reference', name: 'reference firmware', digest: null };
  return { kind: 'wasm', name: build.name, digest: build.digest };
}
