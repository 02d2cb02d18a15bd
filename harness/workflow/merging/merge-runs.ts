import { rm } from 'node:fs/promises';
import { readCapture } from '../../archive/capture-file.ts';
import { newRunId } from '../../archive/new-run-id.ts';
import { captureFile } from '../../plan/captures/capture-id.ts';
import { verdictWithBench } from '../../record/bench-after.ts';
import { isStored } from '../../record/kept-captures.ts';
import type { ConditionRecord, RunRecord, SpecRecord } from '../../record/run-record.ts';
import { totalsOf } from '../../record/totals.ts';
import { verdictOfRun } from '../../verdict/verdict.ts';
import { Complaint } from '../complaint.ts';
import type { FinishedRun } from '../running/run-and-store.ts';
import { type RunReports, RunStore } from '../running/run-store.ts';
import { readShards, type StoredShard } from './shards-to-merge.ts';

export interface MergeSetup {
  /** The archive that takes the merged run. */
  readonly archive: string;
  readonly reports: RunReports;
  readonly signal: AbortSignal;
  /** Of the merged run; a new one where it is absent. */
  readonly id?: string;
}

/**
 * Makes one stored run of the runs of all shards of a selection: the claims in the order of the selection, each condition with what was
 * captured of it, and of every shard its bench, lamp, times and seal. Throws a Complaint where the runs do not make up a whole. An interruption is one, too, and stores nothing.
 */
export async function mergeRuns(
  folders: readonly string[],
  { archive, reports, signal, id = newRunId() }: MergeSetup,
): Promise<FinishedRun> {
  const shards = await readShards(folders);
  const claims = claimsInOrder(shards);
  const record = {
    ...mergedRecord(
      shards,
      claims.map(({ merged }) => merged),
    ),
    id,
  };
  const store = new RunStore(archive, reports);
  let sealed = false;
  try {
    const conditions = claims.reduce((sum, { merged }) => sum + merged.conditions.length, 0);
    await store.begin(
      { ...record, specs: record.specs.map((spec) => ({ ...spec, conditions: [] })) },
      conditions,
    );
    for (const { source, from, merged } of claims)
      for (const [place, condition] of merged.conditions.entries()) {
        if (signal.aborted) throw new Complaint('interrupted', nothingStored);
        await keep(store, merged.spec, { source, from: from.conditions[place], condition });
      }
    await store.finish(record);
    sealed = true;
    return { record, folder: store.path };
  } finally {
    await store.close();
    // Half of it is of no use, and the shards are as they were.
    if (!sealed && store.path) await rm(store.path, { recursive: true, force: true });
  }
}

const nothingStored = 'interrupted before everything was merged; nothing was stored';

interface MergedClaim {
  readonly source: string;
  /** As it is in its shard, and as it is in the whole. */
  readonly from: SpecRecord;
  readonly merged: SpecRecord;
}

/** In the order of the selection; captures are numbered as one run would have numbered them. */
function claimsInOrder(shards: readonly StoredShard[]): readonly MergedClaim[] {
  const found = new Map(
    shards.flatMap(({ folder, record }) =>
      record.specs.map((from) => [from.spec, { source: folder, from }] as const),
    ),
  );
  let position = 0;
  return (shards[0]?.shard.whole ?? []).flatMap(({ spec }) => {
    const claim = found.get(spec);
    if (!claim) return [];
    const conditions = claim.from.conditions.map((condition) => renumbered(condition, ++position));
    return [{ ...claim, merged: { ...claim.from, conditions } }];
  });
}

function renumbered(condition: ConditionRecord, position: number): ConditionRecord {
  const captures = condition.captures.map((capture) => ({
    ...capture,
    file: captureFile(position, capture.id),
  }));
  return { ...condition, captures };
}

interface Kept {
  readonly source: string;
  readonly from: ConditionRecord | undefined;
  readonly condition: ConditionRecord;
}

/** With a copy of each capture: the folder of the merged run stands alone. */
async function keep(
  store: RunStore,
  spec: string,
  { source, from, condition }: Kept,
): Promise<void> {
  const captured = new Map<string, Awaited<ReturnType<typeof readCapture>>>();
  for (const capture of from?.captures ?? [])
    if (isStored(capture)) captured.set(capture.id, await readCapture(source, capture.file));
  await store.saveEnded(spec, condition, captured);
}

function mergedRecord(shards: readonly StoredShard[], specs: readonly SpecRecord[]): RunRecord {
  const records = shards.map(({ record }) => record);
  const [first] = records;
  if (!first) throw new Error('nothing to merge');
  const startedAt = records.map((one) => one.startedAt).reduce(earlier);
  const endedAt = records.map((one) => one.endedAt).reduce(later);
  const { shard: _, ...selection } = first.selection;
  const { says: __, ...lamp } = first.lamp;
  const runs = records.map(({ id }) => id).join(', ');
  const merged = {
    kind: 'merged',
    text: `merged from the runs of ${records.length} ${records.length === 1 ? 'shard' : 'shards'}: ${runs}`,
  };
  const operator = joined(records.map((one) => one.operator ?? ''));
  const { operator: ___, earlier: ____, ...rest } = first;
  // Each shard has those of its own bench.
  const { readBefore: _____, after: ______, ...rig } = first.rig;
  const parts = shards.map(shardRecord);
  return {
    ...rest,
    ...{ startedAt, endedAt, selection },
    lamp: { ...lamp, serial: joined(records.map((one) => one.lamp.serial)) },
    rig: { ...rig, name: joined(records.map((one) => one.rig.name)) },
    ...(operator !== '' && { operator }),
    planned: specs.reduce((sum, { conditions }) => sum + conditions.length, 0),
    shards: parts,
    verdict: verdictWithBench(verdictOfRun(specs), { rig, shards: parts }),
    totals: totalsOf(specs, (Date.parse(endedAt) - Date.parse(startedAt)) / 1000),
    safeState: safeStateOf(records),
    deviations: [...distinct(records.flatMap((one) => one.deviations)), merged],
    follows: distinct(records.flatMap((one) => one.follows)),
    specs: [...specs],
  };
}

function shardRecord({
  record,
  shard,
  manifest,
}: StoredShard): NonNullable<RunRecord['shards']>[number] {
  const { id, startedAt, endedAt, rig, lamp, operator, safeState, specs, earlier } = record;
  return {
    ...{ number: shard.number, run: id, startedAt, endedAt, manifest, rig, safeState },
    lamp: { serial: lamp.serial, ...(lamp.says && { says: lamp.says }) },
    ...(operator !== undefined && { operator }),
    ...(earlier && { earlier }),
    claims: specs.map(({ spec }) => spec),
  };
}

function safeStateOf(records: readonly RunRecord[]): RunRecord['safeState'] {
  const states = records.map(({ safeState }) => safeState);
  const instants = states.flatMap(({ at }) => (at === null ? [] : [at]));
  return {
    confirmed: states.every(({ confirmed }) => confirmed),
    at: instants.length < states.length ? null : instants.reduce(later),
    detail: joined(
      states.map(({ detail }) => detail),
      '; ',
    ),
  };
}

const earlier = (a: string, b: string): string => (Date.parse(b) < Date.parse(a) ? b : a);
const later = (a: string, b: string): string => (Date.parse(b) > Date.parse(a) ? b : a);

/** Each word once. */
function joined(words: readonly string[], by = ', '): string {
  return [...new Set(words.filter((word) => word !== ''))].join(by);
}

function distinct<One>(all: readonly One[]): One[] {
  const known = new Set<string>();
  return all.filter((one) => {
    const text = JSON.stringify(one);
    return !known.has(text) && known.add(text);
  });
}
