import type { Command } from 'commander';
import { findRunFolder, listRunFolders } from '../../archive/find-run-folder.ts';
import {
  type Change,
  type ComparedFinding,
  changes,
  compareRuns,
  type RunLines,
} from '../../record/compare-runs.ts';
import { findingLines } from '../../record/finding-line.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { renderComparePage } from '../../report/pages/compare-page.ts';
import { type ComparedRun, renderCompareText } from '../../report/text/compare-text.ts';
import { type CheckedRun, readCheckedRun } from '../common/checked-run.ts';
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
      '\nExit code: 1 a finding newly fails, 3 newly in error, 2 newly inconclusive, 77 a run was altered, 0 otherwise.',
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
  const before = sideOf(await readCheckedRun(folders[0], io));
  const after = sideOf(await readCheckedRun(folders[1], io));
  const findings = compareRuns(before.lines, after.lines);
  const counts = countChanges(findings);
  if (options.page) {
    const warnings = { a: before.run.warning, b: after.run.warning };
    const page = renderComparePage(before.record, after.record, findings, { warnings });
    await writePage(options.page, page, io);
  }
  if (options.json) {
    const result = { version: 1, a: before.run, b: after.run, counts, findings };
    io.stdout(`${JSON.stringify(result, null, 2)}\n`);
  } else {
    const look = { colour: io.colour, all: options.all ?? false };
    io.stdout(renderCompareText(before.run, after.run, findings, look));
  }
  // What was altered proves no change.
  if (io.exitCode !== exitCodes.refused) io.exitCode = exitCodeOfChanges(counts);
}

interface ReadSide {
  readonly run: ComparedRun & { readonly warning: string | null };
  readonly lines: RunLines;
  readonly record: RunRecord;
}

/** From the run's own record: an index would be faster, and is no evidence. */
function sideOf({ record, warning }: CheckedRun): ReadSide {
  const { id, startedAt: started, lamp, verdict } = record;
  return {
    record,
    run: { id, started, lamp: lamp.name, build: lamp.build, verdict, warning },
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
