import { join } from 'node:path';
import { readCapture } from '../../archive/capture-file.ts';
import { checkSeal } from '../../archive/check-seal.ts';
import { listRunFolders } from '../../archive/find-run-folder.ts';
import { readRecordFile, readRecordHead } from '../../archive/record-file.ts';
import { captureFile } from '../../plan/captures/capture-id.ts';
import { conditionId } from '../../record/ids.ts';
import { isStored } from '../../record/kept-captures.ts';
import type { ConditionRecord, RunRecord } from '../../record/run-record.ts';
import type { Job } from '../../run/engine/jobs.ts';
import type { RunStore } from './run-store.ts';

/** A result that need not be had again. */
export interface ReusedResult {
  readonly spec: string;
  /** As it is recorded in the new run. */
  readonly condition: ConditionRecord;
  /** Folder of the run that it is taken from. */
  readonly source: string;
  /** Names of the files of its captures there, in their order. */
  readonly files: readonly string[];
}

/** Runs that are looked at, the newest first: each one that fits is read byte by byte. */
const mostRuns = 20;

/**
 * Results for jobs on the simulated lamp from sealed runs of the archive, by `conditionId`: of the same spec file, lamp and rig file,
 * firmware, faults, seed and program, with all captures, in a folder that is as it was sealed. Bench errors are none.
 */
export async function findReusable(
  archive: string,
  draft: RunRecord,
  jobs: readonly Job[],
): Promise<ReadonlyMap<string, ReusedResult>> {
  const positions = new Map(
    jobs.map(({ task: { spec, condition, repeat, position } }) => [
      conditionId(spec, { key: condition.key, repeat }),
      position,
    ]),
  );
  const digests = new Map(draft.specs.map(({ spec, digest }) => [spec, digest]));
  const found = new Map<string, ReusedResult>();
  const newestFirst = (await listRunFolders(archive)).reverse().slice(0, mostRuns);
  for (const name of newestFirst) {
    if (found.size === positions.size) break;
    const source = join(archive, name);
    const record = await soundRun(source, draft);
    for (const { spec, digest, conditions } of record?.specs ?? []) {
      if (digests.get(spec) !== digest) continue;
      for (const condition of conditions) {
        const id = conditionId(spec, condition);
        const position = positions.get(id);
        if (record === null || position === undefined || found.has(id)) continue;
        if (isWhole(condition))
          found.set(id, { spec, source, ...takenFrom(record, condition, position) });
      }
    }
  }
  return found;
}

/** The record of a run that was made by the same program from the same things, and is as it was sealed; otherwise null. */
async function soundRun(folder: string, draft: RunRecord): Promise<RunRecord | null> {
  try {
    const head = await readRecordHead(folder);
    if (originOf(head) !== originOf(draft)) return null;
    if ((await checkSeal(folder)).state !== 'sealed') return null;
    const record = await readRecordFile(folder);
    return originOf(record) === originOf(draft) ? record : null;
  } catch {
    // What cannot be read has nothing to give; whoever asks for that run is told why.
    return null;
  }
}

/** All that a result depends on beside its spec. Of a run that was not simulated from end to end, nothing that equals another. */
function originOf({ id, harness, lamp, rig, seed, faults, decision }: RunRecord): string {
  const isSimulated = rig.simulated && rig.instruments.every((one) => one.simulated);
  if (!isSimulated || harness.code === undefined) return id;
  const { version, node, code } = harness;
  const { digest, firmware } = lamp;
  return JSON.stringify([
    version,
    node,
    code,
    digest,
    firmware,
    rig.digest,
    seed,
    faults,
    decision,
  ]);
}

function isWhole({ verdict, captures }: ConditionRecord): boolean {
  return verdict !== 'error' && verdict !== 'not run' && captures.every(isStored);
}

/** Who takes from one who has taken names the run that measured. */
function takenFrom(
  { id, startedAt }: RunRecord,
  condition: ConditionRecord,
  position: number,
): Pick<ReusedResult, 'condition' | 'files'> {
  const captures = condition.captures.map((capture) => ({
    ...capture,
    file: captureFile(position, capture.id),
  }));
  const files = condition.captures.map(({ file }) => file);
  const from = condition.takenFrom ?? { run: id, startedAt };
  return { condition: { ...condition, captures, takenFrom: from }, files };
}

/** Stores the results with copies of their captures: the folder of the new run stands alone. */
export async function keepReused(
  reused: ReadonlyMap<string, ReusedResult>,
  store: RunStore,
): Promise<void> {
  for (const { spec, condition, source, files } of reused.values()) {
    const captured = new Map<string, Awaited<ReturnType<typeof readCapture>>>();
    for (const [k, { id }] of condition.captures.entries())
      captured.set(id, await readCapture(source, files[k] ?? ''));
    await store.saveEnded(spec, condition, captured);
  }
}
