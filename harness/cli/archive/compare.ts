import { basename, dirname, resolve } from 'node:path';
import type { Command } from 'commander';
import { findRunFolder, listRunFolders } from '../../archive/find-run-folder.ts';
import type { RunIndex } from '../../archive/open-index.ts';
import { readRun } from '../../archive/read-run.ts';
import { runLines } from '../../archive/run-lines.ts';
import {
  type Change,
  type ComparedFinding,
  changes,
  compareRuns,
  type RunLines,
} from '../../record/compare-runs.ts';
import { findingLines } from '../../record/finding-line.ts';
import { renderComparePage } from '../../report/pages/compare-page.ts';
import { type ComparedRun, renderCompareText } from '../../report/text/compare-text.ts';
import { withReportedIndex } from '../common/archive-index.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { writePage } from '../common/write-page.ts';

interface Options {
  readonly reports: string;
  readonly json?: boolean;
  readonly page?: string;
  readonly all?: boolean;
}

/** `evenfall compare A B`: what became of every finding from run A to run B. */
export function register(command: Command, io: Io): void {
  command
    .argument('<a>', 'the earlier run: a folder, an id, or latest')
    .argument('<b>', 'the later run')
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--json', 'print every finding as JSON')
    .option('--page <file>', 'also write a page with the curves of both runs')
    .option('--all', 'list every finding, including unchanged ones')
    .addHelpText(
      'after',
      '\nExit code: 1 a finding newly fails, 3 newly in error, 2 newly inconclusive, 0 otherwise.',
    )
    .action((a: string, b: string, options: Options) =>
      withArchive(() => compare(a, b, options, io)),
    );
}

async function compare(a: string, b: string, options: Options, io: Io): Promise<void> {
  const { reports } = options;
  const listed = await listRunFolders(reports);
  const folders = [
    await findRunFolder(reports, a, listed),
    await findRunFolder(reports, b, listed),
  ] as const;
  const [before, after] = await withReportedIndex(
    reports,
    io,
    { listed },
    async (index): Promise<readonly [ReadSide, ReadSide]> => [
      await loadLines(index, reports, folders[0]),
      await loadLines(index, reports, folders[1]),
    ],
  );
  const findings = compareRuns(before.lines, after.lines);
  const counts = countChanges(findings);
  if (options.page) await comparePage(options.page, folders, findings, io);
  if (options.json) {
    const result = { version: 1, a: before.run, b: after.run, counts, findings };
    io.stdout(`${JSON.stringify(result, null, 2)}\n`);
  } else {
    const look = { colour: io.colour, all: options.all ?? false };
    io.stdout(renderCompareText(before.run, after.run, findings, look));
  }
  io.exitCode = exitCodeOfChanges(counts);
}

interface ReadSide {
  readonly run: ComparedRun;
  readonly lines: RunLines;
}

/** From the index where it knows the run, which is fast; else from the run's own record. */
async function loadLines(index: RunIndex, root: string, folder: string): Promise<ReadSide> {
  const inArchive = dirname(folder) === resolve(root);
  const row = inArchive
    ? (index
        .prepare('SELECT id, started, lamp, build, verdict FROM run WHERE folder = ? AND sealed')
        .get(basename(folder)) as ComparedRun | undefined)
    : undefined;
  const lines = row ? runLines(index, row.id) : null;
  if (row && lines) return { run: row, lines };
  const { record } = await readRun(folder);
  const { id, startedAt: started, lamp, verdict } = record;
  return {
    run: { id, started, lamp: lamp.name, build: lamp.build, verdict },
    lines: {
      claims: record.specs.map(({ spec, verdict }) => ({ spec, verdict })),
      findings: findingLines(record),
    },
  };
}

function countChanges(findings: readonly ComparedFinding[]): Record<Change, number> {
  const counts = Object.fromEntries(changes.map((change) => [change, 0])) as Record<Change, number>;
  for (const { change } of findings) counts[change]++;
  return counts;
}

function exitCodeOfChanges(counts: Record<Change, number>): number {
  if (counts['newly failing'] > 0) return exitCodes.fail;
  if (counts['newly in error'] > 0) return exitCodes.bench;
  return counts['newly inconclusive'] > 0 ? exitCodes.inconclusive : exitCodes.pass;
}

async function comparePage(
  file: string,
  [a, b]: readonly [string, string],
  findings: readonly ComparedFinding[],
  io: Io,
): Promise<void> {
  const [before, after] = [await readRun(a), await readRun(b)];
  await writePage(file, renderComparePage(before.record, after.record, findings), io);
}
