import { resolve } from 'node:path';
import type { Command } from 'commander';
import { listRunFolders } from '../../archive/find-run-folder.ts';
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
import { renderCompareText, type WarnedRun } from '../../report/text/compare-text.ts';
import { renderLightText } from '../../report/text/light-text.ts';
import { comparedRun, runLegend } from '../../report/words/compare-words.ts';
import { findRunOrBuild } from '../../workflow/stored-runs/find-run-or-build.ts';
import { withReportedIndex } from '../common/archive-index.ts';
import { type CheckedRun, readCheckedRun } from '../common/checked-run.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { compareStoredLight } from '../common/light-comparison.ts';
import { writeOut } from '../common/write-out.ts';
import { writePage } from '../common/write-page.ts';
import { printPdf } from './pdf.ts';

interface Options {
  readonly reports: string;
  readonly json?: boolean;
  readonly page?: string;
  readonly pdf?: string;
  readonly lamp?: string;
  readonly all?: boolean;
  readonly light?: boolean;
}

/** `evenfall compare A B`: what became of every finding from run A to run B. */
export function register(command: Command, io: Io): void {
  command
    .argument('<a>', 'the earlier run: a folder, an id, latest, or a build (its newest run)')
    .argument('<b>', 'the later run')
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--lamp <name>', 'which lamp is meant where several have a build of that name')
    .option('--json', 'print every finding as JSON')
    .option('--page <file>', 'also write a page with the curves of both runs')
    .option('--pdf <file>', 'also print that page as a PDF (needs Chromium)')
    .option('--all', 'list every finding, including unchanged ones')
    .option('--light', 'also compare light and answers, whatever the claims say of them')
    .action((a: string, b: string, options: Options) =>
      withArchive(() => compare(a, b, options, io)),
    );
}

async function compare(a: string, b: string, options: Options, io: Io): Promise<void> {
  const [folderOfA, folderOfB] = await foldersOf([a, b], options, io);
  const before = sideOf(await readCheckedRun(folderOfA, io));
  const after = sideOf(await readCheckedRun(folderOfB, io));
  const findings = compareRuns(before.lines, after.lines);
  const counts = countChanges(findings);
  await writePages(before, after, findings, options, io);
  const light = options.light
    ? await compareStoredLight(
        { folder: folderOfA, record: before.record },
        { folder: folderOfB, record: after.record },
      )
    : null;
  if (options.json) {
    const result = { version: 1, a: before.run, b: after.run, counts, findings };
    io.stdout(`${JSON.stringify(light ? { ...result, light } : result, null, 2)}\n`);
  } else {
    const look = { colour: io.colour, columns: io.columns, all: options.all ?? false };
    io.stdout(renderCompareText(before.run, after.run, findings, look));
    if (light) io.stdout(`\n${renderLightText(light, look)}`);
  }
  // What was altered proves no change.
  if (io.exitCode === exitCodes.refused) return;
  const isUnproved = before.run.isUnproved || after.run.isUnproved;
  // Nor does what a bench that was not good has measured.
  io.exitCode = isUnproved ? exitCodes.bench : exitCodeOfChanges(counts);
}

async function foldersOf(
  [a, b]: readonly [string, string],
  { reports, lamp }: Options,
  io: Io,
): Promise<readonly [string, string]> {
  const listed = await listRunFolders(reports);
  return withReportedIndex(reports, io, { listed }, async (index) => [
    await findRunOrBuild(index, reports, a, { lamp, listed }),
    await findRunOrBuild(index, reports, b, { lamp, listed }),
  ]);
}

async function writePages(
  before: ReadSide,
  after: ReadSide,
  findings: readonly ComparedFinding[],
  { page, pdf }: Options,
  io: Io,
): Promise<void> {
  if (page === undefined && pdf === undefined) return;
  const warnings = { a: before.run.warning, b: after.run.warning };
  const text = renderComparePage(before.record, after.record, findings, { warnings });
  if (page !== undefined) await writePage(page, text, io);
  if (pdf === undefined) return;
  const legend = `A ${runLegend(before.run)}; B ${runLegend(after.run)}`;
  await writeOut(resolve(io.cwd, pdf), await printPdf(text, legend, io.env, true), '--pdf');
  io.stderr(`PDF: ${pdf}\n`);
}

interface ReadSide {
  readonly run: WarnedRun;
  readonly lines: RunLines;
  readonly record: RunRecord;
}

/** From the run's own record: an index would be faster, and is no evidence. */
function sideOf({ record, warning }: CheckedRun): ReadSide {
  return {
    record,
    run: { ...comparedRun(record), warning },
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
