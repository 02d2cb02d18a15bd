import { join } from 'node:path';
import { isDeepStrictEqual } from 'node:util';
import { benchBrokenText } from '../record/bench-after.ts';
import type { BuildTable, ClaimOnBuild, TableLamp, TableRun } from '../record/build-table.ts';
import { partOf } from '../record/run-part.ts';
import type { RunRecord } from '../record/run-record.ts';
import { type CheckedSeal, glanceAtSeal } from './check-seal.ts';
import { type BuildFilter, findBuilds } from './find-builds.ts';
import type { RunIndex } from './open-index.ts';
import { readRun } from './read-run.ts';
import { readRecordHead, recordFile } from './record-file.ts';
import { addFolder } from './sync-index.ts';
import type { Reading } from './verify-run.ts';

export interface ConfirmedBuilds {
  readonly table: BuildTable;
  /** Runs that were altered, by their folders: nothing that the table says of them counts. */
  readonly altered: ReadonlyMap<string, CheckedSeal>;
}

/**
 * Builds by lamps, where every run that is named says the same in its own record: the index only says where to look, and
 * is mended where it says something else. `reading` says how files are read: every byte of them, unless given.
 */
export async function confirmBuilds(
  index: RunIndex,
  root: string,
  filter: BuildFilter,
  reading: Reading = {},
): Promise<ConfirmedBuilds> {
  // Each time the index is mended it may lead to other runs; what was mended once is as its record has it.
  const mended = new Set<string>();
  for (;;) {
    const table = findBuilds(index, filter);
    const altered = new Map<string, CheckedSeal>();
    const before = mended.size;
    for (const [folder, tellings] of tellingsOf(table)) {
      const seal = await checkRun(index, join(root, folder), tellings, reading);
      if (seal === 'stale') {
        if (!mended.has(folder)) await addFolder(index, root, folder);
        mended.add(folder);
      } else if (seal.state === 'altered') altered.set(folder, seal);
    }
    if (mended.size === before) return { table, altered };
  }
}

/** Something that the table says of a run. */
type Telling =
  | ({ readonly kind: 'cell'; readonly build: string; readonly run: TableRun } & TableLamp)
  | ({ readonly kind: 'claim'; readonly spec: string; readonly on: ClaimOnBuild } & TableLamp);

function tellingsOf({ lamps, builds, broken }: BuildTable): Map<string, Telling[]> {
  const tellings = new Map<string, Telling[]>();
  const add = (folder: string, telling: Telling): void => {
    tellings.set(folder, [...(tellings.get(folder) ?? []), telling]);
  };
  for (const { build, cells } of builds)
    for (const [k, cell] of cells.entries()) {
      const lamp = lamps[k];
      if (lamp && cell?.newest)
        add(cell.newest.folder, { kind: 'cell', build, run: cell.newest, ...lamp });
    }
  for (const { lamp, simulated, spec, now, firstBad, lastGood } of broken)
    for (const on of [now, firstBad, ...(lastGood ? [lastGood] : [])])
      add(on.run.folder, { kind: 'claim', spec, on, lamp, simulated });
  return tellings;
}

/** The index has as many claims of each verdict as it says: one that hides a claim would hide what broke it. */
function areCounted(index: RunIndex, tellings: readonly Telling[]): boolean {
  const query = index.prepare(
    `SELECT c.verdict, count(*) AS count FROM run CROSS JOIN claim c USING (run) WHERE id = ? GROUP BY c.verdict`,
  );
  return tellings.every((telling) => {
    if (telling.kind !== 'cell') return true;
    const { id, claims } = telling.run;
    const rows = query.all(id) as { readonly verdict: string; readonly count: number }[];
    const told = Object.entries(claims).filter(([, count]) => count > 0);
    const isSame = rows.every(({ verdict, count }) => claims[verdict] === count);
    return isSame && rows.length === told.length;
  });
}

async function checkRun(
  index: RunIndex,
  path: string,
  tellings: readonly Telling[],
  { hash, record: read = slim }: Reading,
): Promise<CheckedSeal | 'stale'> {
  const seal = await glanceAtSeal(path, hash);
  if (seal.state === 'altered') return seal;
  try {
    const isOfClaims = tellings.some(({ kind }) => kind === 'claim');
    const record = await (isOfClaims ? read(path) : readRecordHead(path));
    const isSo = seal.state === 'sealed' && tellings.every((telling) => isTrue(telling, record));
    return isSo && areCounted(index, tellings) ? seal : 'stale';
  } catch (error) {
    const problem = { file: recordFile, text: `cannot be read: ${(error as Error).message}` };
    return { state: 'altered', problems: [problem] };
  }
}

async function slim(folder: string): Promise<RunRecord> {
  return (await readRun(folder, { hashed: false, curves: false })).record;
}

function isTrue(telling: Telling, record: RunRecord): boolean {
  const { lamp, rig, ended, faults, id, startedAt: started } = record;
  const isProved = benchBrokenText(record) === null;
  const isCounted = ended === 'complete' && isProved && faults.length === 0;
  const isOnLamp = lamp.name === telling.lamp && rig.simulated === telling.simulated;
  if (!isCounted || !isOnLamp) return false;
  if (telling.kind === 'cell') {
    const { folder } = telling.run;
    const own = { id, folder, started, rig: rig.name, verdict: record.verdict };
    const isSame = isDeepStrictEqual({ ...own, claims: record.totals.claims }, { ...telling.run });
    return isSame && lamp.build === telling.build && partOf(record) === null;
  }
  const { spec, on } = telling;
  const verdict = record.specs.find((one) => one.spec === spec)?.verdict;
  const isSame = isDeepStrictEqual({ id, started }, { id: on.run.id, started: on.run.started });
  return isSame && lamp.build === on.build && verdict === (on.failed > 0 ? 'fail' : 'pass');
}
