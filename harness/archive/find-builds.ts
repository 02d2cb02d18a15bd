import { ascending, descending, group, min, sum } from 'd3-array';
import type { BuildTable, TableCell, TableLamp, TableRun } from '../record/build-table.ts';
import { type BuildOnLamp, buildsOfLamp, newestFirst, placedBuilds } from './builds-of-lamp.ts';
import { findBroken } from './find-broken.ts';
import { countedRun, type RunIndex } from './open-index.ts';

export interface BuildFilter {
  /** The newest builds that are shown. */
  readonly builds: number;
  /** How far back the build that broke a claim is looked for, in builds of each lamp. */
  readonly depth: number;
}

/** However many builds other lamps had since: of each lamp these are shown. */
const ofEachLamp = 3;

/**
 * Builds by lamps, of complete runs that are sealed, have no seeded fault and are no shard. What it takes grows with the
 * builds that it looks at, and hardly with their runs.
 */
export function findBuilds(index: RunIndex, { builds, depth }: BuildFilter): BuildTable {
  const lamps = lampsOf(index);
  const known = lamps.map((lamp) => buildsOfLamp(index, lamp, depth));
  const { order, builds: newest } = newestFirst(overLamps(known));
  const shown = new Set([
    ...newest.slice(0, builds).map(({ build }) => build),
    ...known.flatMap((own) => own.slice(0, ofEachLamp).map(({ build }) => build)),
  ]);
  const started = index.prepare('SELECT started FROM run WHERE run = ?').pluck();
  const rows = newest.flatMap(({ build, first }) => {
    if (!shown.has(build)) return [];
    const cells = lamps.map((lamp, k) => cellOf(index, lamp, build, known[k] ?? []));
    return [{ build, first: started.get(first) as string, cells }];
  });
  const broken = lamps.flatMap((lamp, k) => findBroken(index, lamp, placedBuilds(known[k] ?? [])));
  return {
    ...{ lamps, order },
    builds: rows,
    older: newest.length - rows.length,
    broken: broken.sort((a, b) => descending(a.firstBad.run.started, b.firstBad.run.started)),
  };
}

function lampsOf(index: RunIndex): TableLamp[] {
  const query = index.prepare(`SELECT DISTINCT lamp, simulated FROM run WHERE ${countedRun}`);
  const rows = query.all() as { readonly lamp: string; readonly simulated: number }[];
  return rows
    .map(({ lamp, simulated }) => ({ lamp, simulated: Boolean(simulated) }))
    .sort((a, b) => ascending(a.lamp, b.lamp) || ascending(a.simulated, b.simulated));
}

/** Each build once, with its first runs on any lamp. */
function overLamps(known: readonly (readonly BuildOnLamp[])[]): BuildOnLamp[] {
  return [...group(known.flat(), ({ build }) => build)].map(([build, own]) => ({
    build,
    first: Math.min(...own.map(({ first }) => first)),
    firstWhole: min(own, ({ firstWhole }) => firstWhole) ?? null,
    runs: sum(own, ({ runs }) => runs),
  }));
}

function cellOf(
  index: RunIndex,
  { lamp, simulated }: TableLamp,
  build: string,
  known: readonly BuildOnLamp[],
): TableCell | null {
  const found = known.find((own) => own.build === build);
  if (!found) return null;
  const query = index.prepare(
    `SELECT id, folder, started, rig, verdict, claims FROM run
     WHERE ${countedRun} AND lamp = @lamp AND simulated = @simulated AND build = @build AND part IS NULL
     ORDER BY run DESC LIMIT 1`,
  );
  const row = query.get({ lamp, simulated: Number(simulated), build }) as
    | (Omit<TableRun, 'claims'> & { readonly claims: string })
    | undefined;
  return { newest: row ? { ...row, claims: JSON.parse(row.claims) } : null, runs: found.runs };
}
