import { resolve } from 'node:path';
import { Argument, type Command } from 'commander';
import { findRunFolder } from '../../archive/find-run-folder.ts';
import { renderQuietSummary, renderSummary } from '../../report/text/summary.ts';
import { mergeRuns } from '../../workflow/merging/merge-runs.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodeOfRun } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { folderName, pageAndJunit, printStoredIn } from './stored-run.ts';

interface Options {
  readonly out: string;
  readonly reports: string;
  readonly quiet?: boolean;
}

export function register(command: Command, io: Io): void {
  command
    .addArgument(
      new Argument('<runs...>', 'the run of each shard: its folder, or the start of its id'),
    )
    .option('--reports <dir>', 'the archive that the shards are in', 'reports')
    .option('--out <folder>', 'folder to store the merged run in', 'reports')
    .option('--quiet', 'print only what did not pass, and one line of counts')
    .action(async (runs: string[], options: Options) => {
      io.exitCode = await withArchive(() => merge(runs, options, io));
    });
}

/** `evenfall merge`: the exit code is that of the whole. */
async function merge(
  runs: readonly string[],
  { reports, out, quiet }: Options,
  io: Io,
): Promise<number> {
  const archive = resolve(io.cwd, reports);
  const folders = await Promise.all(runs.map((run) => findRunFolder(archive, run)));
  const merged = await mergeRuns(folders, {
    archive: resolve(io.cwd, out),
    reports: pageAndJunit(),
    signal: io.interrupted,
  });
  const { record, folder } = merged;
  const look = { colour: io.colour, columns: io.columns };
  const storedIn = folder === null ? null : folderName(folder, io);
  io.stdout(quiet ? renderQuietSummary(record, look, storedIn) : renderSummary(record, look));
  if (folder !== null && !quiet) printStoredIn(folder, io);
  return exitCodeOfRun(record, io);
}
