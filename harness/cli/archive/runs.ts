import type { Command } from 'commander';
import pc from 'picocolors';
import { type ConfirmedRun, confirmRuns } from '../../archive/confirm-runs.ts';
import { countRuns, findRuns, type RunFilter, type RunRow } from '../../archive/find-runs.ts';
import type { PruneRule } from '../../archive/prune-runs.ts';
import { plainLine } from '../../files/plain-text.ts';
import { shortId } from '../../record/ids.ts';
import { decisionWords } from '../../report/words/decision-words.ts';
import { verdictMark } from '../../report/words/verdict-words.ts';
import { type Ending, endings } from '../../verdict/verdict.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { withReportedIndex } from '../common/archive-index.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io } from '../common/io.ts';
import { parseSince, wholeNumber } from '../common/options.ts';
import { textTable } from '../common/text-table.ts';
import { prune, refuseUnasked } from './prune.ts';

interface Options {
  readonly reports: string;
  readonly lamp?: string;
  readonly build?: string;
  readonly verdict?: string;
  readonly since?: string;
  readonly limit: number;
  readonly json?: boolean;
  readonly rebuild?: boolean;
  readonly prune?: boolean;
  readonly dryRun?: boolean;
  readonly yes?: boolean;
  readonly keep?: number;
  readonly olderThan?: string;
}

/** `evenfall runs`: what the archive holds, newest first; and, asked to, what of it may go. */
export function register(command: Command, io: Io): void {
  command
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--lamp <name>', 'runs of this lamp')
    .option('--build <build>', 'runs of this firmware build')
    .option('--verdict <verdict>', endings.join(', '))
    .option('--since <date>', 'a date, or an age such as "14 d"')
    .option('--limit <n>', 'how many; 0 for all', wholeNumber(), 40)
    .option('--json', 'as JSON')
    .option('--rebuild', 'rebuild the index from the run folders')
    .option('--prune', 'remove old runs, after asking; signed ones always stay')
    .option('--dry-run', 'with --prune: name the runs that would go, and remove none')
    .option('--yes', 'with --prune: remove them without asking')
    .option('--keep <n>', 'with --prune: how many of the newest runs to keep', wholeNumber())
    .option('--older-than <age>', 'with --prune: only runs older than this, such as "90 d"')
    .action((options: Options) => withArchive(() => list(options, io)));
}

async function list(options: Options, io: Io): Promise<void> {
  const now = new Date();
  const filter = filterOf(options, now);
  if (!options.prune) refuseRule(options);
  const rule = options.prune ? ruleOf(options, now) : null;
  const { dryRun = false, yes = false, reports: root } = options;
  if (rule) refuseUnasked({ dryRun, yes });
  const rebuild = options.rebuild ?? false;
  await withReportedIndex(options.reports, io, { rebuild }, async (index) => {
    if (rule) await prune(index, { root, rule, dryRun, yes }, io);
    const runs = await confirmRuns(index, options.reports, findRuns(index, filter));
    if (runs.some(({ seal }) => seal.state === 'altered')) io.exitCode = exitCodes.refused;
    if (options.json) io.stdout(`${JSON.stringify({ version: 1, runs }, null, 2)}\n`);
    else io.stdout(tableOf(runs, countRuns(index), options.reports, io));
  });
}

function filterOf({ lamp, build, verdict, since, limit }: Options, now: Date): RunFilter {
  if (verdict !== undefined && !endings.includes(verdict as Ending)) {
    const sentence = `--verdict: expected one of ${endings.join(', ')}, found ${JSON.stringify(verdict)}`;
    throw new Complaint('usage', sentence);
  }
  return {
    lamp,
    build,
    verdict,
    since: since === undefined ? undefined : parseSince(since, now, '--since'),
    limit: limit || undefined,
  };
}

/** Whoever gives a rule for pruning and forgets to ask for it would take the list for its outcome. */
function refuseRule({ keep, olderThan, dryRun, yes }: Options): void {
  const rules = { '--keep': keep, '--older-than': olderThan, '--dry-run': dryRun, '--yes': yes };
  const given = Object.entries(rules).find(([, value]) => value !== undefined)?.[0];
  if (given === undefined) return;
  throw new Complaint('usage', `${given} is for --prune: add --prune, or leave it out`);
}

function ruleOf({ keep, olderThan }: Options, now: Date): PruneRule {
  if (keep === undefined && olderThan === undefined) {
    const sentence = '--prune needs --keep N, --older-than AGE, or both';
    throw new Complaint('usage', sentence);
  }
  const before = olderThan === undefined ? undefined : parseSince(olderThan, now, '--older-than');
  return { keep: keep ?? 0, before };
}

function tableOf(runs: readonly ConfirmedRun[], all: number, root: string, io: Io): string {
  if (all === 0) return `No stored runs in ${root}. evenfall run specs makes the first one.\n`;
  if (runs.length === 0) return `None of the ${all} stored runs in ${root} fit.\n`;
  const head = ['run', 'started (UTC)', 'lamp', 'build', 'rig', 'verdict', 'claims', 'note'];
  const rows = runs.map((run) => [
    shortId(run.id),
    run.started.slice(0, 16).replace('T', ' '),
    run.lamp,
    run.build,
    run.rig,
    // A verdict that somebody may have written is none.
    run.seal.state === 'altered' ? '▲ altered' : `${verdictMark[run.verdict]} ${run.verdict}`,
    run.seal.state === 'altered' ? '' : claimsText(run),
    noteOf(run),
  ]);
  const paint = pc.createColors(io.colour);
  const table = textTable([head, ...rows], (text, row, column) => {
    if (row === 0) return paint.dim(text);
    return column === 5 && runs[row - 1]?.verdict === 'fail' ? paint.bold(text) : text;
  });
  const rest = all - runs.length;
  return rest > 0 ? `${table}${runs.length} of ${all} runs.\n` : table;
}

/** Files that a line of the list names. */
const mostFiles = 2;

function claimsText({ claims }: RunRow): string {
  const all = Object.values(claims).reduce((sum, count) => sum + count, 0);
  return `${claims['pass'] ?? 0} of ${all - (claims['not applicable'] ?? 0)} pass`;
}

function noteOf({ decision, ended, faults, follows, seal }: ConfirmedRun): string {
  const files = seal.problems.map(({ file, text }) => plainLine(`${file} ${text}`));
  const notes = [
    ...files.slice(0, mostFiles),
    files.length > mostFiles ? `and ${files.length - mostFiles} more files` : '',
    seal.state === 'not sealed' ? 'not sealed' : '',
    decisionWords(decision) ?? '',
    ended === 'complete' ? '' : ended,
    faults > 0 ? `${faults} seeded ${faults === 1 ? 'fault' : 'faults'}` : '',
    ...follows.map(({ how, id }) => `${how} ${shortId(id)}`),
  ];
  return notes.filter((note) => note !== '').join(', ');
}
