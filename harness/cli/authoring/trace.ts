import { resolve } from 'node:path';
import { findRunFolder, listRunFolders } from '../../archive/find-run-folder.ts';
import { readRun } from '../../archive/read-run.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import type { Plan } from '../../plan/plan.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { verdictMark } from '../../report/words/verdict-words.ts';
import { rollUp, type Verdict } from '../../verdict/verdict.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { readFile } from '../../workflow/inputs/read-file.ts';
import { readSpecs } from '../../workflow/inputs/read-specs.ts';
import { shippedFile } from '../../workflow/inputs/shipped-file.ts';
import { withArchive } from '../common/complaints.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { textTable } from '../common/text-table.ts';
import { type Requirement, readRequirements } from './read-requirements.ts';

interface Options {
  readonly requirements: string;
  readonly lamp?: string;
  readonly reports: string;
  readonly run: string;
  readonly json?: boolean;
}

/** `evenfall trace`: requirement, the claims that cover it, and what the last run said of them. */
export const register: Register = (command, io) => {
  command
    .argument('[path...]', 'spec files or folders of them (default: specs)')
    .requiredOption('--requirements <file>', 'CSV with the columns id and text')
    .option('--lamp <file>', 'lamp file to read the specs for (default: the shipped Alcove-6)')
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--run <run>', 'a stored run', 'latest')
    .option('--json', 'as JSON')
    .addHelpText(
      'after',
      '\nExit codes: 0 every requirement is covered, 1 at least one is not, 65 a bad file.',
    )
    .action((paths: string[], options: Options) =>
      withArchive(() => trace(paths.length > 0 ? paths : ['specs'], options, io)),
    );
};

/** One requirement and what covers it. */
interface Traced extends Requirement {
  readonly claims: readonly TracedClaim[];
  /** Of all its claims; null where no run has any of them, or no claim covers it. */
  readonly verdict: Verdict | null;
}

interface TracedClaim {
  readonly spec: string;
  readonly file: string;
  readonly verdict: Verdict | null;
}

async function trace(paths: readonly string[], options: Options, io: Io): Promise<void> {
  const requirements = readRequirements(
    readFile(options.requirements, io.cwd).text,
    options.requirements,
  );
  const plans = readPlans(paths, options, io);
  const record = await lastRun(options, io);
  const traced = requirements.map((requirement) => traceOne(requirement, plans, record));
  const known = new Set(requirements.map(({ id }) => id));
  const strays = plans.flatMap(({ spec, traces }) =>
    traces.filter((id) => !known.has(id)).map((id) => ({ spec, id })),
  );
  const uncovered = traced.filter(({ claims }) => claims.length === 0);
  if (options.json) {
    const run = record?.id ?? null;
    const report = {
      format: 'evenfall-trace',
      version: 1,
      run,
      requirements: traced,
      unknown: strays,
    };
    io.stdout(`${JSON.stringify(report, null, 2)}\n`);
  } else {
    io.stdout(tableOf(traced));
    io.stdout(`\n${traced.length - uncovered.length} of ${traced.length} requirements are covered`);
    io.stdout(
      record ? `; verdicts of run ${record.id}, ${record.startedAt}\n` : '; no stored run\n',
    );
    for (const { id, text } of uncovered)
      io.stdout(`no claim covers ${id}${text ? `: ${text}` : ''}\n`);
    for (const { spec, id } of strays)
      io.stderr(`${spec} traces ${id}, which ${options.requirements} does not list\n`);
  }
  if (uncovered.length > 0) io.exitCode = exitCodes.fail;
}

function readPlans(paths: readonly string[], options: Options, io: Io): readonly Plan[] {
  const lampFile = options.lamp ?? shippedFile('lamps/alcove-6.lamp.yaml', io.cwd);
  const lamp = readLamp(readFile(lampFile, io.cwd).text, lampFile);
  const specs =
    'lamp' in lamp ? readSpecs(paths, lamp.lamp, io.cwd) : { plans: [], issues: lamp.issues };
  if (specs.issues.length === 0) return specs.plans;
  throw new BadFiles(specs.issues);
}

async function lastRun(options: Options, io: Io): Promise<RunRecord | null> {
  const root = resolve(io.cwd, options.reports);
  if (options.run === 'latest' && (await listRunFolders(root)).length === 0) return null;
  return (await readRun(await findRunFolder(root, options.run))).record;
}

function traceOne(
  requirement: Requirement,
  plans: readonly Plan[],
  record: RunRecord | null,
): Traced {
  const claims = plans
    .filter(({ traces }) => traces.includes(requirement.id))
    .map(({ spec, file }) => {
      const own = record?.specs.find((candidate) => candidate.spec === spec);
      return { spec, file, verdict: own?.verdict ?? null };
    });
  const verdicts = claims.flatMap(({ verdict }) => verdict ?? []);
  return { ...requirement, claims, verdict: verdicts.length > 0 ? rollUp(verdicts) : null };
}

function tableOf(traced: readonly Traced[]): string {
  const rows = traced.flatMap(({ id, text, claims }) => {
    const first = [id, '', text];
    const own = claims.map(({ spec, verdict }) => ['', said(verdict), spec]);
    return [first, ...(own.length > 0 ? own : [['', '-', 'no claim']])];
  });
  return textTable([['requirement', 'verdict', 'claim'], ...rows]);
}

function said(verdict: Verdict | null): string {
  return verdict === null ? '- not in the run' : `${verdictMark[verdict]} ${verdict}`;
}
