import { join } from 'node:path';
import { type CheckedSeal, glanceAtSeal } from '../../archive/check-seal.ts';
import { type ClaimRow, findClaims } from '../../archive/find-claims.ts';
import { findRuns } from '../../archive/find-runs.ts';
import type { RunIndex } from '../../archive/open-index.ts';
import { readRun } from '../../archive/read-run.ts';
import { recordFile } from '../../archive/record-file.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import type { Plan } from '../../plan/plan.ts';
import { asProved } from '../../record/bench-after.ts';
import type { RunRecord } from '../../record/run-record.ts';
import type { RunElsewhere, TracedClaim } from '../../record/traced.ts';
import { Complaint } from '../complaint.ts';

interface Asked {
  readonly lamp: string;
  /** The build of the newest run where none is named. */
  readonly build?: string | undefined;
  readonly withFaults?: boolean | undefined;
}

export interface ClaimsOfBuild {
  /** Null where no run of the lamp is stored. */
  readonly build: string | null;
  readonly claims: readonly TracedClaim[];
  /** Runs that were altered and left out, by their folders. */
  readonly altered: ReadonlyMap<string, CheckedSeal>;
}

/**
 * What the newest run of each claim on one build says of it: runs of parts of the library add up. A run in which a claim was not run
 * hides none in which it was. Every verdict is the record's; the index only says where to look. Throws a Complaint where the build has
 * no run.
 */
export async function claimsOfBuild(
  index: RunIndex,
  root: string,
  plans: readonly Plan[],
  asked: Asked,
): Promise<ClaimsOfBuild> {
  const build = asked.build ?? newestBuild(index, asked);
  if (build === null) return { build, claims: plans.map(neverRan), altered: new Map() };
  const rows = findClaims(index, { ...asked, build });
  if (rows.length === 0) throw noRun(index, root, build, asked);
  const altered = new Map<string, CheckedSeal>();
  const records = new Map<string, RunRecord>();
  await readNeeded(root, plans, rows, { altered, records });
  const newest = rows.find(({ folder }) => records.has(folder))?.folder;
  const claims = plans.map((plan): TracedClaim => {
    const folder = chosenFolder(plan.spec, rows, altered);
    const record = folder === null ? undefined : records.get(folder);
    const spec = record?.specs.find((one) => one.spec === plan.spec);
    if (!record || !spec)
      return { ...neverRan(plan), elsewhere: elsewhere(index, plan.spec, asked) };
    const run = { id: record.id, started: record.startedAt };
    const isChanged = spec.digest !== plan.digest;
    return {
      ...neverRan(plan),
      result: { spec: asProved(spec, record), run, isOlder: folder !== newest, isChanged },
    };
  });
  return { build, claims, altered };
}

function neverRan({ spec, claim, file, traces }: Plan): TracedClaim {
  return { spec, claim, file, traces, result: null, elsewhere: null };
}

function newestBuild(index: RunIndex, { lamp, withFaults = false }: Asked): string | null {
  const counted = findRuns(index, { lamp }).filter(({ faults }) => withFaults || faults === 0);
  return (counted.find(({ sealed }) => sealed) ?? counted[0])?.build ?? null;
}

interface Read {
  readonly altered: Map<string, CheckedSeal>;
  readonly records: Map<string, RunRecord>;
}

/** Where a run turns out altered, an older one may count instead: again until nothing new is altered. */
async function readNeeded(
  root: string,
  plans: readonly Plan[],
  rows: readonly ClaimRow[],
  { altered, records }: Read,
): Promise<void> {
  const needed = (): string[] => {
    const folders = plans.flatMap(({ spec }) => chosenFolder(spec, rows, altered) ?? []);
    const newest = rows.find(({ folder }) => !altered.has(folder));
    return [...new Set([...folders, ...(newest ? [newest.folder] : [])])];
  };
  for (let open = needed(); open.length > 0; open = needed().filter((one) => !records.has(one))) {
    for (const folder of open) {
      const seal = await glanceAtSeal(join(root, folder));
      const record = seal.state === 'altered' ? seal : await recordOf(join(root, folder));
      if ('state' in record) altered.set(folder, record);
      else records.set(folder, record);
    }
  }
}

async function recordOf(path: string): Promise<RunRecord | CheckedSeal> {
  try {
    return (await readRun(path, { hashed: false, curves: false })).record;
  } catch (error) {
    const problem = { file: recordFile, text: `cannot be read: ${(error as Error).message}` };
    return { state: 'altered', problems: [problem] };
  }
}

function chosenFolder(
  spec: string,
  rows: readonly ClaimRow[],
  altered: ReadonlyMap<string, CheckedSeal>,
): string | null {
  const own = rows.filter((row) => row.spec === spec && !altered.has(row.folder));
  return (own.find(({ verdict }) => verdict !== 'not run') ?? own[0])?.folder ?? null;
}

function elsewhere(
  index: RunIndex,
  spec: string,
  { lamp, withFaults }: Asked,
): RunElsewhere | null {
  return findClaims(index, { lamp, spec, withFaults, limit: 1 })[0] ?? null;
}

function noRun(
  index: RunIndex,
  root: string,
  build: string,
  { lamp, withFaults }: Asked,
): Complaint {
  const runs = findRuns(index, { lamp }).filter(({ faults }) => withFaults || faults === 0);
  const builds = [...new Set(runs.map((run) => run.build))];
  const known = builds.length > 0 ? `builds with one: ${builds.join(', ')}` : 'it has none at all';
  const sentence = `expected a stored run of build ${JSON.stringify(build)} of ${lamp} in ${root}${withFaults ? '' : ' without a seeded fault'}, found none${didYouMean(build, builds)}; ${known}`;
  return new Complaint('no-input', sentence);
}
