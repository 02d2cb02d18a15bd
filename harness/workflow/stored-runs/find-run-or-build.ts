import { basename, join } from 'node:path';
import { ArchiveError } from '../../archive/archive-error.ts';
import { confirmRuns } from '../../archive/confirm-runs.ts';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { findRuns, type RunRow } from '../../archive/find-runs.ts';
import type { RunIndex } from '../../archive/open-index.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { shortId } from '../../record/ids.ts';
import { Complaint } from '../complaint.ts';

interface Asked {
  /** Needed where two lamps have a build of this name. */
  readonly lamp?: string | undefined;
  /** Names of the archive's run folders, where they were listed already. */
  readonly listed?: readonly string[];
}

/**
 * The folder of the run that a person means by `text`: the name of a build stands for its newest finished run, anything else is read as
 * `findRunFolder` reads it. Throws a Complaint where a text means both, or a build that two lamps have.
 */
export async function findRunOrBuild(
  index: RunIndex,
  root: string,
  text: string,
  { lamp, listed }: Asked = {},
): Promise<string> {
  const ofBuild = isRunAlone(text) ? [] : findRuns(index, { build: text });
  const asRun = await findRunFolder(root, text, listed).catch((error: unknown) => {
    if (!(error instanceof ArchiveError)) throw error;
    return error;
  });
  if (ofBuild.length === 0) {
    if (!(asRun instanceof ArchiveError)) return asRun;
    throw asRun.kind === 'not-found' && !isRunAlone(text)
      ? notFound(index, root, text, asRun)
      : asRun;
  }
  const folder = await newestOfBuild(index, root, text, { ofBuild, lamp });
  // Several runs whose names begin like a build are not what a whole name means.
  if (asRun instanceof ArchiveError || basename(asRun) === folder) return join(root, folder);
  const sentence = `${JSON.stringify(text)} is a run (${basename(asRun)}) and a build, whose newest run is ${folder}; write more of the run's id, or the path of its folder`;
  throw new Complaint('usage', sentence);
}

function isRunAlone(text: string): boolean {
  return text === 'latest' || /[\\/]/.test(text) || text === '.' || text === '..';
}

interface OfBuild {
  /** Newest first. */
  readonly ofBuild: readonly RunRow[];
  readonly lamp: string | undefined;
}

/** As its own record has it: an index only says where to look. */
async function newestOfBuild(
  index: RunIndex,
  root: string,
  build: string,
  { ofBuild, lamp }: OfBuild,
): Promise<string> {
  const isAsked = (row: RunRow): boolean =>
    lamp === undefined || row.lamp.toLowerCase() === lamp.toLowerCase();
  // A run in progress is meant only where there is no other.
  const asked = ofBuild.filter(isAsked);
  const fitting = [
    ...asked.filter(({ sealed }) => sealed),
    ...asked.filter(({ sealed }) => !sealed),
  ];
  const newest = newestByLamp(fitting);
  if (newest.length > 1) {
    const lamps = newest.map((row) => `${row.lamp} (newest run ${shortId(row.id)})`);
    const sentence = `expected a build of one lamp, found ${JSON.stringify(build)} on ${lamps.length} lamps: ${lamps.join(', ')}`;
    throw new Complaint('usage', sentence, { remedy: 'which-lamp' });
  }
  for (const row of fitting) {
    const [run] = await confirmRuns(index, root, [row]);
    if (run?.build === build && isAsked(run)) return run.folder;
  }
  const lamps = newestByLamp(ofBuild).map((row) => row.lamp);
  const sentence = `expected a stored run of build ${JSON.stringify(build)} of ${lamp ?? 'a lamp'} in ${root}, found runs of it on ${lamps.join(', ')}`;
  throw new Complaint('no-input', sentence);
}

/** Of rows that begin with the ones to be preferred. */
function newestByLamp(rows: readonly RunRow[]): RunRow[] {
  return [...new Map([...rows].reverse().map((row) => [row.lamp, row])).values()];
}

/** Builds that a sentence names. */
const mostBuilds = 8;

function notFound(index: RunIndex, root: string, text: string, cause: ArchiveError): Complaint {
  const builds = [...new Set(findRuns(index).map(({ build }) => build))];
  if (builds.length === 0) return new Complaint('no-input', cause.message, { cause });
  const more = builds.length > mostBuilds ? ', …' : '';
  const known = `builds: ${builds.slice(0, mostBuilds).join(', ')}${more}`;
  const sentence = `expected a run or a build in ${root}, found none called ${JSON.stringify(text)}${didYouMean(text, builds)}; ${known}; evenfall runs lists the runs`;
  return new Complaint('no-input', sentence, { cause });
}
