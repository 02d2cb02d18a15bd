import type { BrokenClaim, ClaimOnBuild, TableLamp } from '../record/build-table.ts';
import type { BuildOnLamp } from './builds-of-lamp.ts';
import { countedRun, type RunIndex } from './open-index.ts';

/** The newest runs of a build that are asked how its claims came out. */
const runsOfBuild = 3;
/** Builds that are looked at together. The newest ones say what is broken; from those before them only that is asked for. */
const stretch = 25;

/** The claims of a lamp that do not hold on the newest build that decided them. `builds` newest first. */
export function findBroken(
  index: RunIndex,
  lamp: TableLamp,
  builds: readonly BuildOnLamp[],
): BrokenClaim[] {
  const histories = new Map<string, History>();
  let open: string[] | null = null;
  for (let from = 0; from < builds.length && open?.length !== 0; from += stretch) {
    for (const [k, { build }] of builds.slice(from, from + stretch).entries()) {
      const told = toldOf(index, { ...lamp, build, place: from + k }, open);
      for (const [spec, one] of told) histories.set(spec, wentOn(histories.get(spec), one));
    }
    open = [...histories].flatMap(([spec, history]) => (isOpen(history) ? [spec] : []));
  }
  return [...histories].flatMap(([spec, history]) =>
    isBad(history.now) ? [brokenClaim(index, { ...lamp, spec }, history, builds.length)] : [],
  );
}

/** How a claim came out on one build; runs by their keys, null where there is none. */
interface Told {
  readonly build: string;
  /** Of the build, from the newest on. */
  readonly place: number;
  readonly passed: number;
  readonly failed: number;
  readonly lastPassed: number | null;
  readonly lastFailed: number | null;
}

/** A claim from its newest build backwards, as far as it matters. */
interface History {
  readonly now: Told;
  readonly firstBad: Told;
  readonly lastGood: Told | null;
}

/** With a build before all that were told. */
function wentOn(history: History | undefined, told: Told): History {
  if (!history) return { now: told, firstBad: told, lastGood: null };
  if (!isOpen(history)) return history;
  return told.failed > 0 ? { ...history, firstBad: told } : { ...history, lastGood: told };
}

/** It fails now, and no build before passed it. */
function isOpen({ now, lastGood }: History): boolean {
  return isBad(now) && lastGood === null;
}

/** On a build on which a claim came out both ways, the newest run says how it stands. */
function isBad({ lastPassed, lastFailed }: Told): boolean {
  return (lastFailed ?? 0) > (lastPassed ?? 0);
}

/** What the newest runs of a build decided, claim by claim; of some claims, where they are named. */
function toldOf(
  index: RunIndex,
  { lamp, simulated, build, place }: TableLamp & Pick<Told, 'build' | 'place'>,
  specs: readonly string[] | null,
): Map<string, Told> {
  const query = index.prepare(specs === null ? decided : decidedOf);
  const rows = query.all({
    ...{ lamp, simulated: Number(simulated), build },
    specs: JSON.stringify(specs),
  }) as (Omit<Told, 'build' | 'place'> & { readonly spec: string })[];
  return new Map(rows.map(({ spec, ...told }) => [spec, { build, place, ...told }]));
}

const decided = decidedBy('claim USING (run)', '');
/** In this order a claim is found by the keys of its run and its name. */
const decidedOf = decidedBy(
  'json_each(@specs) AS asked CROSS JOIN claim USING (run)',
  'AND spec = asked.value',
);

function decidedBy(claims: string, which: string): string {
  return `
    WITH newest AS (
      SELECT run FROM run WHERE ${countedRun} AND lamp = @lamp AND simulated = @simulated AND build = @build
      ORDER BY run DESC LIMIT ${runsOfBuild}
    )
    SELECT spec, sum(verdict = 'pass') AS passed, sum(verdict = 'fail') AS failed,
      max(iif(verdict = 'pass', run, NULL)) AS lastPassed, max(iif(verdict = 'fail', run, NULL)) AS lastFailed
    FROM newest CROSS JOIN ${claims} WHERE verdict IN ('pass', 'fail') ${which} GROUP BY spec`;
}

function brokenClaim(
  index: RunIndex,
  claim: TableLamp & { readonly spec: string },
  { now, firstBad, lastGood }: History,
  lookedAt: number,
): BrokenClaim {
  const bad = rowOf(index, claim.spec, firstBad);
  const good = lastGood && rowOf(index, claim.spec, lastGood);
  return {
    ...claim,
    now: onBuild(now, rowOf(index, claim.spec, now)),
    firstBad: onBuild(firstBad, bad),
    lastGood: lastGood && good && onBuild(lastGood, good),
    between: lastGood ? lastGood.place - firstBad.place - 1 : 0,
    changed: good ? changes(good, bad) : [],
    lookedAt,
  };
}

interface Row {
  readonly id: string;
  readonly folder: string;
  readonly started: string;
  readonly rig: string;
  readonly serial: string;
  /** Of the spec file. */
  readonly digest: string;
}

/** The newest run of a build in which the claim failed, or passed where it never failed. */
function rowOf(index: RunIndex, spec: string, { lastPassed, lastFailed }: Told): Row {
  const query = index.prepare(
    `SELECT id, folder, started, rig, serial, digest FROM run JOIN claim USING (run) WHERE run = @run AND spec = @spec`,
  );
  return query.get({ run: lastFailed ?? lastPassed, spec }) as Row;
}

function onBuild({ build, passed, failed }: Told, { id, folder, started }: Row): ClaimOnBuild {
  const run = { id, folder, started };
  return { build, passed, failed, run };
}

/** What differs between two runs besides the build. */
function changes(a: Row, b: Row): BrokenClaim['changed'] {
  const told = { spec: 'digest', rig: 'rig', lamp: 'serial' } as const;
  return (['spec', 'rig', 'lamp'] as const).filter((what) => a[told[what]] !== b[told[what]]);
}
